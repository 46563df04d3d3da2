"""The second reader's items, with a place after what is denied of it."""

from __future__ import annotations

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


def _letter(item: Item) -> str:
    if item.roles[0] == "DENY" or (item.roles[0] == "REPLACE" and "DENY" in item.roles):
        return OTHER if item.verb else DENY
    if item.roles[0] == "AND":
        return EITHER if item.of_kind("either") else LISTS
    names = {"TEST", "SIGN"} & set(item.roles)
    if "SITE" in item.roles:
        return OTHER if names else SITE
    return NAME if names else _LETTERS.get(item.roles[0], OTHER)
