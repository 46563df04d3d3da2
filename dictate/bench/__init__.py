"""How well it hears a voice: invented examinations, read aloud, and the figures of what came of it.

``tests/benchmarks/hear`` measures synthetic voices with the same cases and the same scores.
"""
