"""Teaches the adapted listener: sentences, speech, sound, training (for maintainers)."""
