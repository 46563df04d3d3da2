""" "PERRL 3 mm": a measure right after a sign is of the test that takes it, and not a detail."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

#: From the number to its unit there are so many tokens at most ("3/3 mm", "four and three mm").
_NEAR = 5
_COMMA = ","
#: A sign, the name of the test that takes its measure, the units, and whether it is normal.
_Form = tuple[tuple[str, ...], tuple[str, ...], frozenset[str], bool]


def sized(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens, with a comma and the name of the test before such a measure.

    Args:
        tokens: Those of an utterance; what is put in has no width.
        grammar: For the tests of which another one takes the measure.
    """
    forms = _forms(grammar)
    words = [token.norm for token in tokens]
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        form, name, units, even = next(
            (f for f in forms.get(words[i], ()) if tuple(words[i : i + len(f[0])]) == f[0]),
            ((words[i],), (), frozenset(), False),
        )
        end = i + len(form)
        out.extend(tokens[i:end])
        comma = words[end : end + 1] == [_COMMA]
        start = end + comma
        if name and _measure(grammar, words[start : start + _NEAR], units, even):
            at = tokens[start].start
            if comma:
                out.append(tokens[end])
            said = name if comma else (_COMMA, *name)
            out.extend(Token(word, word, at, at, False, False) for word in said)
            end = start
        i = end
    return out


def _measure(grammar: Grammar, words: Sequence[str], units: frozenset[str], even: bool) -> bool:
    """A number, perhaps after its side, and a unit of the test near it."""
    sided = any(word in (*grammar.sides.right, *grammar.sides.left) for word in words[:1])
    at = any(word in grammar.closed.classes.get("before_measure", ()) for word in words[:1])
    first = words[1:2] if sided or at else words[:1]
    if not (sided or even):
        return False  # "anisocoria one millimetre" is how much they differ
    number = any(word.isdigit() or word in _numbers(grammar) for word in first)
    return number and not units.isdisjoint(words)


@lru_cache(maxsize=4)
def _numbers(grammar: Grammar) -> frozenset[str]:
    return grammar.numbers.words()


@lru_cache(maxsize=4)
def _forms(grammar: Grammar) -> dict[str, list[_Form]]:
    """Signs of the tests of which another takes the measure, the longest first, by first word."""
    found: dict[str, list[_Form]] = {}
    for test in grammar.tests.values():
        other = grammar.tests.get(test.measured_as or "")
        scale = grammar.scales.get(other.scale or "") if other is not None else None
        if other is None or scale is None or scale.unit is None:
            continue
        name = norms((*other.plural, *other.spoken)[0])
        units = frozenset(norms(unit)[0] for unit in scale.unit.spoken)
        for value in test.values.values():
            for form in map(norms, value.alone):
                even = value.normal is True
                found.setdefault(form[0], []).append((form, name, units, even))
    for forms in found.values():
        forms.sort(key=lambda one: -len(one[0]))
    return found
