"""The second reader's items, in which a word said of the name beside it is no name of its own."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.of_the_name import (
    COLON,
    DENY,
    IDLE,
    NAME,
    OTHER,
    PLACE,
    WORD,
    beside,
    said_of,
)
from dictate.parse.items import Item, roles

_LETTERS = {
    "DENY": DENY, "DENIED": DENY, "MISC": IDLE, "DEGREE": IDLE, "COLON": COLON, "PREP": PLACE,
}  # fmt: skip


def of_the_name(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Face: no weakness": of the face.

    Args:
        items: Those of one sentence.
        grammar: For the values of the tests.
    """
    letters = "".join(_letter(item) for item in items)
    row = list(items)
    for name, word in beside(letters):
        if said_of(row[name].readings, row[word].readings, grammar):
            kept = tuple(r for r in row[word].readings if r.kind != "sign")
            row[word] = replace(row[word], roles=roles(kept), readings=kept)
    return row


def _letter(item: Item) -> str:
    if {"TEST", "SITE", "SIGN"} & set(item.roles):
        return WORD if item.of_kind("sign") and not item.of_kind("test", "site") else NAME
    return _LETTERS.get(item.roles[0], OTHER)
