""" "Neither light touch nor pinprick is reduced": the value is denied, and said of both.

"Neither drift nor tremor" denies names; here a value follows them, and it is the value that the
denial is of. The readers share the plan; each carries it out on its own row.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from dictate.interpret.items import Item

#: What an item is to the plan. NAME: a side as well ("nor the left"). IDLE: what may stand among
#: the names ("the", "is").
NEITHER, NOR, NAME, VALUE, IDLE, OTHER = "X", "n", "N", "V", ".", "|"
_SAID = re.compile(
    rf"(?P<neither>{NEITHER})\{IDLE}*{NAME}[{NAME}{IDLE}]*"
    rf"(?P<nor>{NOR})\{IDLE}*{NAME}[{NAME}{IDLE}]*(?P<value>{VALUE})"
)


@dataclass(frozen=True, slots=True)
class Plan:
    """Indices of a row: "neither" means nothing, "nor" joins, a denial goes before the value."""

    neither: int
    nor: int
    value: int


def plan(row: str) -> Plan | None:
    """What to change; None where the row says no such thing.

    Args:
        row: A letter for each item of a sentence.
    """
    found = _SAID.search(row)
    return Plan(*map(found.start, ("neither", "nor", "value"))) if found is not None else None


def neither_is(row: list[Item]) -> list[Item]:
    """The first reader's row, with the denial before the value.

    Args:
        row: The items of one sentence.
    """
    found = plan("".join(map(_letter, row)))
    if found is None:
        return row
    row[found.neither] = replace(row[found.neither], kind="glue", readings=(), others=frozenset())
    row[found.nor] = replace(row[found.nor], kind="and")
    at = row[found.value].start
    return [*row[: found.value], Item("deny", at, at), *row[found.value :]]


def _letter(item: Item) -> str:
    if "neither" in item.others:
        return NEITHER
    if item.kind in {"and", "deny"} and "either" in item.others:
        return NOR
    if item.kind in {"glue", "degree", "quality", "place"}:
        return IDLE
    return {"target": NAME, "side": NAME, "value": VALUE, "grade": VALUE}.get(item.kind, OTHER)
