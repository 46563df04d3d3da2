"""The second reader's items with a value for a yes or a no that is said of a name."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.answered import (
    ANSWER,
    COLON,
    IDLE,
    LISTS,
    OTHER,
    PLACE,
    SIDE,
    STOP,
    TURN,
    answered,
    answers_of,
    letter_of_name,
    meaning,
)
from dictate.parse.items import NAMES, Item

_LETTERS = {
    "SIDE": SIDE, "MISC": IDLE, "DEGREE": IDLE, "PREP": PLACE, "COLON": COLON, "COMMA": LISTS,
    "AND": LISTS, "BUT": LISTS, "STOP": STOP, "REPLACE": TURN, "TAKEBACK": TURN, "SWAP": TURN,
    "CUE": TURN, "UNKNOWN": TURN,
}  # fmt: skip


def with_answers(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Heel walk no on the left, yes on the right".

    Args:
        items: Those of one sentence.
        grammar: For the words, and for the names.
    """
    words = answers_of(grammar)
    if not any(item.text.lower() in words for item in items):
        return items
    row = list(items)
    letters = "".join(_letter(item, words, grammar) for item in items)
    for feat, places in answered(letters):
        for k in places:
            meant = meaning(row[k].text.lower(), feat, grammar)
            # by its text a value is known to the chart, and this one means what no other does
            text = f"{row[k].text} {meant[0].id}"
            row[k] = replace(row[k], text=text, roles=("VALUE",), readings=meant)
    return row


def _letter(item: Item, words: Collection[str], grammar: Grammar) -> str:
    if item.text.lower() in words:
        return ANSWER
    if NAMES & set(item.roles):
        return letter_of_name(item.readings, grammar)
    return _LETTERS.get(item.roles[0], OTHER)
