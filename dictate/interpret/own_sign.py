""" "Face: no weakness", "upgoing left plantar": a sign said of a test that has it as a value."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

_BETWEEN = frozenset({"glue", "degree", "deny", "colon"})
_AFTER = frozenset({"glue", "place"})
_WHOLE = frozenset({"comma", "stop", "and", "side", "but", "glue", "place", "degree", "denied"})


@dataclass(frozen=True, slots=True)
class OwnSign:
    """A sign at ``sign``, said of the name at ``name``; ``colon`` stands between them, or -1."""

    name: int
    sign: int
    colon: int


def own_sign(row: list[Item], grammar: Grammar) -> list[Item]:
    """The row with such signs as the values that they are of the test that was named.

    Args:
        row: The items of one sentence.
        grammar: For the values of tests, and the words that mean them in any test.
    """
    kinds = [item.kind for item in row]
    for found in own_signs(kinds, [item.readings for item in row], grammar):
        row[found.sign].kind = "value"
        if found.colon >= 0:
            row[found.colon].kind = "glue"
    return row


def own_signs(
    kinds: Sequence[str], readings: Sequence[Sequence[Reading]], grammar: Grammar
) -> Iterator[OwnSign]:
    """Where a sign stands right after the name of a test that has it as a value, or before it.

    Args:
        kinds: Of each item: target, deny, colon, glue, degree, place, what it is otherwise.
        readings: Of each item.
        grammar: For the values of tests.
    """
    headed = -1  # the name before a colon: what is denied after a comma is denied of it as well
    for i, kind in enumerate(kinds):
        if kind == "stop":
            headed = -1
        elif kind == "colon" and i and kinds[i - 1] == "target":
            headed = i - 1
        if kind != "target" or not any(r.kind == "sign" for r in readings[i]):
            continue
        before = i - 1
        while before >= 0 and kinds[before] in _BETWEEN:
            before -= 1
        after = i + 1
        while after < len(kinds) and kinds[after] in _AFTER:
            after += 1
        alone = after >= len(kinds) or kinds[after] in _WHOLE
        listed = before >= 0 and kinds[before] == "comma" and "deny" in kinds[before:i]
        if alone and listed and headed >= 0:
            before = headed
        if alone and before >= 0 and _has(kinds, readings, before, readings[i], grammar):
            colon = next((j for j in range(before + 1, i) if kinds[j] == "colon"), -1)
            colon = -1 if listed else colon
            yield OwnSign(before, i, colon)
        elif (named := _named_after(kinds, readings, i)) is not None:
            yield OwnSign(named, i, -1)
        elif after < len(kinds) and "place" in kinds[i + 1 : after]:
            opens = before < 0 or kinds[before] in {"comma", "stop", "and", "but"}
            if opens and _has(kinds, readings, after, readings[i], grammar):
                yield OwnSign(after, i, -1)


def _named_after(kinds: Sequence[str], readings: Sequence[Sequence[Reading]], i: int) -> int | None:
    """ "Upgoing left plantar": where the bare name of the sign's own test stands after it."""
    after = i + 1
    while after < len(kinds) and kinds[after] in {"glue", "side"}:
        after += 1
    if after >= len(kinds) or kinds[after] != "target":
        return None
    own = {r.test for r in readings[i] if r.kind == "value"}
    named = {r.test for r in readings[after]}
    bare = any(r.kind == "test" and not r.id for r in readings[after])
    return after if bare and len(named) == 1 and named <= own else None


def _has(
    kinds: Sequence[str], readings: Sequence[Sequence[Reading]], i: int,
    sign: Sequence[Reading], grammar: Grammar,
) -> bool:  # fmt: skip
    """What stands there names one test, of which the sign is a value and not the sign."""
    tests = {r.test for r in readings[i] if r.kind == "test" and not r.id}
    own = {r.test for r in sign if r.kind == "sign"}
    plain = kinds[i] == "target" and len(tests) == 1 and not tests & own
    return plain and all(_takes(grammar, test, sign) for test in tests)


def _takes(grammar: Grammar, test: str, sign: Collection[Reading]) -> bool:
    """It is a value of this test, by its own words or by those for any test."""
    if any(r.kind == "value" and r.test == test for r in sign):
        return True
    sets = {r.id for r in sign if r.kind == "value" and not r.test}
    values = grammar.tests[test].values
    return any(
        sets.intersection((label,) if spec.sets is None else spec.sets)
        for label, spec in values.items()
    )
