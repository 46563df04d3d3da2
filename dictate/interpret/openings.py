"""A test named first, with a comma after it, heads the sentence as it would with a colon."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item

_VALUED = {"value", "grade"}


def headed(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Reflexes, biceps two plus, knees absent": what follows is of it, place by place.

    Only where a place with its own value comes right after the comma: "tone, power and reflexes
    normal" is a list, and "light touch, normal" says it of the test.

    Args:
        row: The items of one sentence.
        grammar: For the tests that can be headings.
    """
    named = next((i for i, item in enumerate(row) if item.kind != "glue"), None)
    if named is None or named + 1 >= len(row) or row[named + 1].kind != "comma":
        return row
    if not _heads(row[named], grammar) or not _place_with_value(row[named + 2 :]):
        return row
    return [*row[: named + 1], replace(row[named + 1], kind="colon"), *row[named + 2 :]]


def _heads(item: Item, grammar: Grammar) -> bool:
    tests = {r.test for r in item.of_kind("test")}
    other = item.of_kind("site", "sign", "value")
    named = item.kind == "target" and len(tests) == 1 and not other
    return named and all(grammar.tests[test].heading for test in tests)


def _place_with_value(row: list[Item]) -> bool:
    """A site, perhaps with its side, and what was found there."""
    said = [x for x in row if x.kind not in {"glue", "place", "degree"}]
    said = said[1:] if said and said[0].kind == "side" else said
    placed = bool(said) and bool(said[0].of_kind("site")) and not said[0].of_kind("test", "sign")
    after = [x for x in said[1:] if x.kind != "side"]
    return placed and said[0].kind == "target" and bool(after) and after[0].kind in _VALUED
