"""Why a part was not examined, told in a clause of its own that no word announces."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.items import Item

_UNDONE = frozenset({"not_tested", "unable"})
#: What a clause may hold that only says why ("he cannot stand"): nothing is found or corrected.
_WHY = frozenset(
    {"unknown", "glue", "talk", "deny", "unable", "place", "degree", "quality", "comma"}
    | {"reason", "because"}
)
#: Another time or another's word: that is not why, but whose.
_APART = frozenset({"elsewhere", "reported", "account", "request", "symptom", "other_part"})
_BREAKS = frozenset({"comma", "but", "except", "colon"})
#: Signs that a clause may be set off with.
_DASHES = frozenset("-–—")


def told_why(row: list[Item]) -> list[Item]:
    """ "Gait not done, he cannot stand": what follows a part that was not examined says why.

    Only where all of the sentence that is left can be no statement: it names no test, site, side,
    value or grade, and corrects nothing. A clause, not a word: it is set off by a comma or a dash,
    or has a subject of its own.

    Args:
        row: The items of one sentence as the lexicon gave them.
    """
    at = next((i for i, item in enumerate(row) if item.kind in _UNDONE), None)
    if at is None or not any(item.kind == "target" for item in row[:at]):
        return row
    end = next((j for j in range(at + 1, len(row)) if row[j].kind == "stop"), len(row))
    tail = row[at + 1 : end]
    if len(tail) < 2:
        return row
    if tail[0].kind == "reason" and "opinion" not in tail[0].others:
        end = at + 1 + _reason_ends(tail)
        tail = row[at + 1 : end]
    elif not _opens(tail[0]) or not (_only_why(_unnamed(row[:at], tail)) or _of_a_limb(tail)):
        return row
    if len(tail) < 2:
        return row
    first = 0 if "definite" in tail[0].others else 1
    because = Item("because", tail[first].start, tail[-1].end, text="reason")
    return [*row[: at + 1], *tail[:first], because, *row[end:]]


def _reason_ends(tail: Sequence[Item]) -> int:
    """How far "because of the boot, he will not take it off" goes; 0 where a grade follows it."""
    comma = next((i for i, item in enumerate(tail) if item.kind in _BREAKS), len(tail))
    if any(item.kind == "grade" for item in tail[:comma]):
        return 0
    rest = tail[comma:]
    more = len(rest) > 1 and rest[0].kind == "comma" and _opens(rest[1]) and _only_why(rest)
    return len(tail) if more else comma


def _opens(item: Item) -> bool:
    """A break, or the subject of a clause."""
    clause = item.kind == "glue" and {"definite", "clause"} <= item.others
    return item.kind == "comma" or item.text in _DASHES or clause


def _unnamed(before: Sequence[Item], tail: Sequence[Item]) -> list[Item]:
    """The clause without what was named before ("vibration not tested, he fears the fork")."""
    named = {r.test for item in before for r in item.of_kind("test")}
    return [item for item in tail if not named & {r.test for r in item.of_kind("test")}]


def _of_a_limb(tail: Sequence[Item]) -> bool:
    """ "Both hips are replaced": a place, a word that nobody knows, and no value."""
    where = tail[0].kind == "comma" and any(item.kind == "unknown" for item in tail)
    places = [item for item in tail if item.kind == "target"]
    bare = all(item.of_kind("site") and not item.of_kind("sign") for item in places)
    rest = [item for item in tail if item.kind not in {"target", "side"}]
    return where and bool(places) and bare and _only_why(rest)


def _only_why(tail: Sequence[Item]) -> bool:
    """Words that nobody knows, or that somebody could not do something; no time, no person."""
    apart = any(item.others & _APART and item.kind != "unable" for item in tail)
    said = any(item.kind in {"unknown", "deny", "unable", "talk"} for item in tail)
    return said and not apart and all(item.kind in _WHY for item in tail)
