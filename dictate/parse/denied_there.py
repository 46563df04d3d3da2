"""The second reader's items, with a place after what is denied of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from dictate.grammar.load import Grammar
from dictate.interpret.denied_there import (
    DENY,
    EITHER,
    IDLE,
    LISTS,
    NAME,
    OPENS,
    OTHER,
    PLACE,
    SIDE,
    SITE,
    found_there,
    order,
)
from dictate.parse.items import Item

_LETTERS = {
    "SIDE": SIDE, "COMMA": LISTS, "MISC": IDLE, "DEGREE": IDLE, "PREP": PLACE, "EDGE": PLACE,
    "RANGE": PLACE, "STOP": OPENS, "BUT": OPENS, "COLON": OPENS,
}  # fmt: skip


def denied_there(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Left leg no wasting" as "no wasting left leg".

    Args:
        items: Those of one sentence.
        grammar: For the places that a test takes.
    """
    items = nor_joined(items)
    found = order(
        "".join(map(_letter, items)),
        lambda site, name: found_there(items[site].readings, items[name].readings, grammar),
    )
    if found is None:
        return items
    row: list[Item] = []
    for before, k in pairwise((-1, *found)):
        if k < before:  # the place, and what is denied before it: "in" it
            row.append(Item(items[k].start, items[k].start, "", ("PREP",)))
        row.append(items[k])
    return row


def nor_joined(items: list[Item]) -> list[Item]:
    """After "neither" the "nor" joins as "or" does, so that a place at the end is of both."""
    if not any(item.of_kind("neither") for item in items):
        return items
    row = list(items)
    neither = False
    for k, item in enumerate(items):
        if item.roles[0] in {"STOP", "BUT"}:
            neither = False
        elif neither and item.of_kind("either") and "DENY" in item.roles:
            row[k] = replace(item, roles=("AND",))
        neither = neither or bool(item.of_kind("neither"))
    return row


def _letter(item: Item) -> str:
    if item.roles[0] == "DENY" or (item.roles[0] == "REPLACE" and "DENY" in item.roles):
        return OTHER if item.verb else DENY
    if item.roles[0] == "AND":
        return EITHER if item.of_kind("either") else LISTS
    names = {"TEST", "SIGN"} & set(item.roles)
    if "SITE" in item.roles:
        return OTHER if names else SITE
    return NAME if names else _LETTERS.get(item.roles[0], OTHER)
