"""The second reader's items, with a denial before what "or" joins to a denied value."""

from __future__ import annotations

from collections.abc import Collection

from dictate.interpret.or_denied import (
    COMMA,
    DENIAL,
    DENY,
    IDLE,
    OR,
    OTHER,
    SIGN,
    VALUE,
    denied_too,
)
from dictate.parse.items import Item

_LETTERS = {"DENY": DENY, "COMMA": COMMA, "MISC": IDLE, "DEGREE": IDLE, "DETAIL": IDLE}


def or_denied(items: list[Item], deny: Collection[str]) -> list[Item]:
    """ "Tongue: no wasting or fasciculation" as "... or no fasciculation".

    Args:
        items: Those of one sentence.
        deny: Words that deny what follows.
    """
    places = set(denied_too("".join(_letter(item, deny) for item in items)))
    if not places:
        return items
    row: list[Item] = []
    for i, item in enumerate(items):
        if i in places:
            row.append(Item(item.start, item.start, "", ("DENY",)))
        row.append(item)
    return row


def _letter(item: Item, deny: Collection[str]) -> str:
    first = item.roles[0]
    if "VALUE" in item.roles:
        return DENIAL if item.text.split(" ")[0] in deny else VALUE
    if first == "AND":
        return OR if item.of_kind("either") else OTHER
    if {"TEST", "SIGN"} & set(item.roles) and any(r.id for r in item.of_kind("test", "sign")):
        return SIGN
    return _LETTERS.get(first, OTHER)
