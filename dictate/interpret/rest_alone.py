""" "Triceps four plus, rest five", "biceps five, others normal": a bare word for the others.

Right before a number or a word for what is normal it is read as one that says so by itself, unless
a test is spoken of that has the word among its details (a tremor at rest).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_BREAKS = frozenset({",", ";", ":", "."})


def rest_alone(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens, with each such word folded to the word of the closed class ``rest_word``.

    Args:
        tokens: Those of an utterance.
        grammar: Its words for the rest, its numbers, and its words for what is normal.
    """
    alone, begins, said, kinds = _words(grammar)
    out = list(tokens)
    for i, token in enumerate(tokens):
        if token.norm not in alone or i + 1 == len(tokens):
            continue
        first = i == 0 or tokens[i - 1].norm in begins
        after = tokens[i + 1].norm
        valued = after.isdigit() or after in said
        if first and valued and not any(other.norm in kinds for other in tokens):
            word = grammar.closed.classes["rest_word"][0]
            out[i] = replace(token, norm=word)
    return out


@lru_cache(maxsize=4)
def _words(grammar: Grammar) -> tuple[frozenset[str], ...]:
    """The words for the rest; what may stand before one; what may follow; tests that have it."""
    closed = grammar.closed.classes
    alone = frozenset(closed.get("rest_alone", ()))
    begins = _BREAKS.union(grammar.speech.join, grammar.speech.article)
    normal = (form for form in map(norms, grammar.sets.get("normal", ())) if len(form) == 1)
    said = grammar.numbers.words().union(form[0] for form in normal)
    having = (
        test for test in grammar.tests.values()
        if any(alone.intersection(forms) for forms in test.details.values())
    )  # fmt: skip
    kinds = frozenset(word for test in having for form in test.spoken for word in norms(form))
    return alone, begins, said, kinds
