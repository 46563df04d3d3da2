""" "No weakness anywhere, only in the left leg": what is denied is so but for there.

The readers share the plan; each carries it out on its own row.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace

from dictate.interpret.items import Item

#: What an item is to the plan. ONLY: a word of the class "only". LEADS: a word of place.
DENY, ONLY, LEADS, PLACE, VALUE, IDLE, OTHER, STOP = "D", "O", ">", "S", "V", ".", ",", "|"
_SAID = re.compile(
    rf"{DENY}[^{STOP}]*?(?P<only>{ONLY})"
    rf"(?=[{LEADS}{IDLE}]*{PLACE}[{LEADS}{PLACE}{IDLE}]*(?:[{OTHER}\{STOP}]|$))"
)


def only_at(row: str) -> int | None:
    """Where the word stands that excepts what follows it; None where none does.

    Args:
        row: A letter for each item of a sentence.
    """
    found = _SAID.search(row)
    return found.start("only") if found is not None else None


def only_there(row: list[Item], only: Collection[str]) -> list[Item]:
    """The first reader's row, with an exception for the word.

    Args:
        row: The items of one sentence.
        only: The words that do so after a denial.
    """
    at = only_at("".join(_letter(item, only) for item in row))
    if at is not None:
        row[at] = replace(row[at], kind="except", readings=(), others=frozenset({"except"}))
    return row


def _letter(item: Item, only: Collection[str]) -> str:
    if item.text in only:
        return ONLY
    if item.kind == "target":
        return PLACE if item.of_kind("site") else OTHER
    if item.kind in {"glue", "degree", "quality"}:
        return IDLE
    letters = {
        "deny": DENY, "denied": DENY, "place": LEADS, "side": PLACE, "edge_site": PLACE,
        "value": VALUE, "grade": VALUE, "stop": STOP, "colon": STOP,
    }  # fmt: skip
    return letters.get(item.kind, OTHER)
