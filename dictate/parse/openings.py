"""A test named first, with a comma after it, heads the sentence as it would with a colon."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.parse.items import Item

_IDLE = {"MISC", "PREP", "DEGREE"}


def headed(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Reflexes, biceps two plus, knees absent": what follows is of it, place by place.

    Args:
        items: Those of an utterance.
        grammar: For the tests that can be headings.
    """
    opens = True
    for i, item in enumerate(items):
        named = opens and _heads(item, grammar)
        opens = item.roles[0] == "STOP" or (opens and item.roles[0] in _IDLE)
        comma = i + 1 < len(items) and items[i + 1].roles[0] == "COMMA"
        if named and comma and _place_with_value(items, i + 2):
            at = items[i + 1]
            items[i + 1] = Item(at.start, at.end, at.text, ("COLON",))
    return items


def _heads(item: Item, grammar: Grammar) -> bool:
    tests = {r.test for r in item.of_kind("test")}
    other = {"SITE", "SIGN", "VALUE"} & set(item.roles)
    return len(tests) == 1 and not other and all(grammar.tests[test].heading for test in tests)


def _place_with_value(items: list[Item], start: int) -> bool:
    """A site, perhaps with its side, and what was found there."""
    said: list[Item] = []
    for item in items[start:]:
        if item.roles[0] in ("STOP", "COMMA", "AND"):
            break
        if item.roles[0] not in _IDLE:
            said.append(item)
    said = said[1:] if said and said[0].roles[0] == "SIDE" else said
    if not said or "SITE" not in said[0].roles or {"TEST", "SIGN"} & set(said[0].roles):
        return False
    after = [x for x in said[1:] if x.roles[0] != "SIDE"]
    return bool(after) and "VALUE" in after[0].roles
