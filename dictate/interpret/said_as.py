"""Words that are others beside what they stand with: "clonus 0", "VII: no weakness"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_Forms = dict[str, list[tuple[str, ...]]]
_ABSENT = "absent"
_NONE = "0"
_AFTER_NAME = frozenset({":", "="})
_ENDS = frozenset({",", ".", ";", ")", "!"})
#: What stands before the number of a nerve that is no end of a range, beside words for a nerve.
_OPENS = frozenset({",", ".", ";"})


def said_as(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens, with such words as what they mean.

    Args:
        tokens: Those of an utterance.
        grammar: For the names of tests.
    """
    out = list(tokens)
    words = [token.norm for token in tokens]
    zeros = {_NONE, *grammar.numbers.numbers.get(_NONE, ())}
    opens = _OPENS.union(grammar.closed.classes.get("before_nerve", ()))
    for i, word in enumerate(words):
        if word in zeros and _of_sign(words, i, grammar):
            out[i] = replace(tokens[i], norm=_ABSENT)
        elif words[i + 1 : i + 2] == [":"] and (i == 0 or words[i - 1] in opens):
            one = _one_sentence(words, i + 2)
            out[i] = replace(tokens[i], norm=_nerves(grammar).get(word, word)) if one else tokens[i]
    return out


def _one_sentence(words: Sequence[str], start: int) -> bool:
    """Nothing but one sentence stands under a number: in more, something else may be meant."""
    end = next((j for j in range(start, len(words)) if words[j] in {".", ";"}), len(words))
    return end + 1 >= len(words) or words[end + 2 : end + 3] == [":"]


def _of_sign(words: Sequence[str], i: int, grammar: Grammar) -> bool:
    """A zero right after the name of something that has no grades, and nothing but a side after."""
    after = words[i + 1 : i + 2]
    sides = (*grammar.sides.right, *grammar.sides.left, *grammar.sides.both)
    if any(word not in _ENDS and word not in _folded(sides) for word in after):
        return False
    end = i - 1 if words[i - 1 : i] and words[i - 1] in _AFTER_NAME else i
    return any(tuple(words[end - len(f) : end]) == f for f in _ending(words, end, _signs(grammar)))


def _ending(words: Sequence[str], end: int, forms: _Forms) -> Iterable[tuple[str, ...]]:
    return [f for f in forms.get(words[end - 1], ()) if len(f) <= end] if end > 0 else []


@lru_cache(maxsize=16)
def _folded(forms: tuple[str, ...]) -> frozenset[str]:
    return frozenset(norms(form)[0] for form in forms)


@lru_cache(maxsize=4)
def _signs(grammar: Grammar) -> _Forms:
    """Names of what is there or not and has no grades, by their last word."""
    found: _Forms = {}
    for test in grammar.tests.values():
        if test.scale is None and _ABSENT in test.values and "present" in test.values:
            present = test.values["present"].alone
            for form in map(norms, (*test.spoken, *test.plural, *present)):
                found.setdefault(form[-1], []).append(form)
    return found


@lru_cache(maxsize=4)
def _nerves(grammar: Grammar) -> dict[str, str]:
    """The numbers of nerves, folded, with a name of the test that each stands for."""
    tests = grammar.tests.values()
    return {norms(number)[0]: name for test in tests for number, name in test.nerve.items()}
