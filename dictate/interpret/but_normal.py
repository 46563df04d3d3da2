""" "Slow but accurate": after a word for what is not normal, a normal one takes nothing back.

The two words are left out, so that the finding is the first one, on whatever side comes after them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_Tests = dict[str, set[str]]
_BREAKS = frozenset({",", ";", ".", ":", "!", "?"})


def but_normal(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens without each "but" and a normal word, right after a word of the same test.

    Args:
        tokens: Those of an utterance.
        grammar: Its words of contrast and of values. What says that both sides are alike stays.
    """
    contrast, ends = _joins(grammar)
    odd, normal = _words(grammar)
    left: set[int] = set()
    for i in range(1, len(tokens) - 1):
        if tokens[i].norm in contrast:
            before, after = odd.get(tokens[i - 1].norm), normal.get(tokens[i + 1].norm)
            ended = i + 2 == len(tokens) or tokens[i + 2].norm in ends
            if before and after and before & after and ended:
                left |= {i, i + 1}
    return [token for i, token in enumerate(tokens) if i not in left]


@lru_cache(maxsize=4)
def _joins(grammar: Grammar) -> tuple[frozenset[str], frozenset[str]]:
    """Words of contrast, and what may come after the normal word."""
    sides = (*grammar.sides.right, *grammar.sides.left, *grammar.sides.both)
    ends = _BREAKS.union(grammar.speech.place, grammar.speech.join, sides)
    return frozenset(grammar.speech.contrast), ends


@lru_cache(maxsize=4)
def _words(grammar: Grammar) -> tuple[_Tests, _Tests]:
    """Single words for what is not normal and for what is, each with its tests."""
    odd: _Tests = {}
    normal: _Tests = {}
    for name, test in grammar.tests.items():
        for own, value in test.values.items():
            kinds = (own,) if value.sets is None else value.sets
            shared = [form for kind in kinds for form in grammar.sets.get(kind, ())]
            for form in (*value.spoken, *shared):
                if value.normal is not None and len(norms(form)) == 1:
                    (normal if value.normal else odd).setdefault(norms(form)[0], set()).add(name)
    alone = (f for t in grammar.tests.values() for v in t.values.values() for f in v.alone)
    for word in (*odd, *grammar.sides.both_after_value, *alone):
        normal.pop(word, None)  # "slow but fluent": "fluent" says something else as well
    return odd, normal
