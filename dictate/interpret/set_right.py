"""What says by itself that something is normal is not denied over a comma: "no nystagmus, EOMI"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading, all_normal

_IDLE = frozenset({"glue", "degree"})
_ENDS = frozenset({"comma", "stop", "and", "colon", "but"})


def set_right(row: list[Item]) -> list[Item]:
    """The row with a full stop in place of each comma before a sign that is no part of a denial.

    Args:
        row: The items of one sentence.
    """
    kinds = ["or" if "either" in x.others else x.kind for x in row]
    for i in breaks(kinds, [x.readings for x in row]):
        row[i].kind = "stop"
    return row


def breaks(kinds: Sequence[str], readings: Sequence[Sequence[Reading]]) -> Iterator[int]:
    """Where a comma after something denied is followed by a sign of its own that is normal.

    Args:
        kinds: Of each item: deny, comma, or, stop, glue, what it is otherwise.
        readings: Of each item.
    """
    denied = False
    for i, kind in enumerate(kinds):
        if kind in {"stop", "but"}:
            denied = False
        denied = denied or kind == "deny"
        if not denied or kind != "comma":
            continue
        at = next((j for j in range(i + 1, len(kinds)) if kinds[j] not in _IDLE), len(kinds))
        after = next((k for k in kinds[at + 1 :] if k not in _IDLE), "stop")
        end = next((j for j in range(i, len(kinds)) if kinds[j] == "stop"), len(kinds))
        whole = at < len(kinds) and after in _ENDS and "or" not in kinds[i:end]
        if whole and _normal(readings[at]):
            denied = False
            yield i


def _normal(readings: Sequence[Reading]) -> bool:
    """It names no test or place, and whatever it may say is normal."""
    if any(r.kind in {"test", "after_site", "site"} for r in readings):
        return False
    return all_normal([r for r in readings if r.kind == "sign"])
