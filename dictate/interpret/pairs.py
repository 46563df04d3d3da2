"""A name with a value for either side is complete: what follows begins anew.

"Deltoid right four left five biceps ...", "deltoid four right five left biceps ...": after both
sides nothing more can be said of the name, so the next side or value is not of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dictate.interpret.items import Item
from dictate.model import OTHER_SIDE

_VALUES = {"value", "grade"}
#: What may stand between a value and its side, and between the two halves of a pair.
_PASSED = {"glue", "place", "degree", "and", "comma"}
#: What may be said of the name that follows.
_OWN = {"value", "grade", "deny", "denied", "not_tested", "unable", "repeat"}
#: How many things a pair is made of.
_PAIR = 4


def closed(row: Sequence[Item]) -> Iterator[int]:
    """Where the pause after a complete pair of sides is, or after "both" that ends a value.

    Args:
        row: The items of one sentence.
    """
    for i, item in enumerate(row):
        if item.kind != "target" or (i and row[i - 1].kind == "side"):
            continue
        between = _between(row, i)
        if between is not None:
            yield between
        end = _pair(row, i) or _both(row, i)
        if end is not None and _begins(row, end):
            yield end


def _pair(row: Sequence[Item], i: int) -> int | None:
    """The end of the values of both sides, each before or each after its side."""
    at: list[int] = []
    for j in range(i + 1, len(row)):
        if row[j].kind in _VALUES | {"side"}:
            at.append(j)
        elif row[j].kind not in _PASSED or (row[j].kind in {"and", "comma"} and len(at) != 2):
            break
        if len(at) == _PAIR:
            break
    if len(at) < _PAIR:
        return None
    sides = [j for j in at if row[j].kind == "side"]
    alternate = sides in (at[::2], at[1::2])
    if not alternate or any(
        row[j].end - row[j].start > 1 and " and " in row[j].text for j in sides
    ):
        return None
    first, second = (_side(row[j]) for j in sides)
    return at[-1] + 1 if OTHER_SIDE.get(first) == second else None


def _between(row: Sequence[Item], i: int) -> int | None:
    """ "Pin reduced left hand | right hand normal", "pin reduced left hand | normal right hand"."""
    if row[i].of_kind("site") or i + 6 >= len(row):
        return None
    kinds = [x.kind for x in row[i + 1 : i + 7]]
    value, place = kinds[0], ["side", "target"]
    if value not in _VALUES or kinds not in ([value, *place, *place, value], [value, *place] * 2):
        return None
    after = i + 4 + (kinds[3] == value)
    first, second = row[i + 3], row[after + 1]
    sites = bool(first.of_kind("site")) and bool(second.of_kind("site"))
    other = OTHER_SIDE.get(_side(row[i + 2])) == _side(row[after])
    return i + 4 if sites and other else None


def _both(row: Sequence[Item], i: int) -> int | None:
    """ "Wrist extension five both wrist flexion ...": "both" of one thing in the singular is none.

    Of "five both biceps" it may be what follows, unless that has sides of its own.
    """
    at = [j for j in range(i + 1, min(len(row), i + 4)) if row[j].kind != "glue"]
    if any("place" in row[j].others for j in range(i + 1, min(len(row), i + 4))):
        return None  # "normal at both ankles"
    if len(at) < 2 or row[at[0]].kind not in _VALUES or row[at[1]].kind != "side":
        return None
    end = at[1] + 1
    if _side(row[at[1]]) != "both" or end >= len(row) or row[end].kind != "target":
        return None
    last = end
    while last + 1 < len(row) and row[last + 1].kind == "target":
        last += 1
    several = any(
        x.text.endswith("s") or any(r.plural for r in x.readings) for x in row[end : last + 1]
    )
    after = row[last + 1] if last + 1 < len(row) else None
    sided = after is not None and after.kind == "side" and _side(after) in OTHER_SIDE
    return end if sided or not several else None


def _side(item: Item) -> str:
    return next((reading.id for reading in item.of_kind("side")), "")


def _begins(row: Sequence[Item], start: int) -> bool:
    """A name that has a value of its own, or says the same again."""
    said = [x for x in row[start:] if x.kind not in {"glue", "degree"}]
    if not said or said[0].kind != "target":
        return False
    own = next((x.kind for x in said if x.kind in _OWN or x.kind == "stop"), "stop")
    return own != "stop"
