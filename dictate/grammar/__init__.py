"""Grammar files to one checked, frozen Grammar."""

from dictate.grammar.load import Grammar, load_grammar, read_grammar

__all__ = ["Grammar", "load_grammar", "read_grammar"]
