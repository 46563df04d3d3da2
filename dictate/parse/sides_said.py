"""Sentences that say nothing but a side, and that it was wrong: "I said left but I meant right",
"not the left, the right", "everything I just said was on the right"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.grammar.load import Grammar
from dictate.model import OTHER_SIDE, Side, UtteranceKind
from dictate.parse.amending import WHOLE, last_claim
from dictate.parse.categories import Claim
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice, folded
from dictate.parse.revaluing import revalue
from dictate.parse.state import Entry

if TYPE_CHECKING:
    from dictate.parse.stating import Stating

#: Roles that say no more than that a side is put right.
_PLAIN = frozenset(
    {"SIDE", "COMMA", "REPLACE", "CUE", "DENY", "MISC", "PREP", "BUT", "AND", "FILLER",
     "HESITATION", "ONE"}
)  # fmt: skip
#: Between a "not" and the side that it denies.
_BETWEEN = frozenset({"definite", "place", "before_side", "exam_opens"})


def of_a_side(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """The side of the last statement, or of the whole run; None if it is not said."""
    kinds = {r.kind for it in items for r in it.readings}
    whole = bool(kinds & WHOLE) or ("list_end" in kinds and _whole(n.grammar, items))
    if not whole and not any(set(it.roles) & {"REPLACE", "CUE", "DENY"} for it in items):
        return None
    limbs = {r.id for it in items for r in it.readings if r.kind == "site" and r.group == "limb"}
    if not all(set(it.roles) & _PLAIN or (whole and _limb(it)) for it in items):
        return None
    said = [(side, _by_mistake(items, i)) for i, it in enumerate(items) if (side := _side(it))]
    right = {side for side, mistaken in said if not mistaken}
    wrong = {side for side, mistaken in said if mistaken}
    denied = any("DENY" in it.roles and "REPLACE" not in it.roles for it in items)
    if len(right) != 1 or right & wrong or (denied and not wrong):
        return None  # "the right isn't" corrects nothing
    row = _row(n, whole)
    if not row or (limbs and not all(_of_limb(n, e, limbs) for e in row)):
        return None
    if wrong and not wrong & {e.finding.side for e in row}:
        return None  # "not the left", and nothing of the left was said last
    if whole:
        if len({e.utterance for e in row}) > 1 and _mixed(n, row):
            return None
        return _turn(n, lattice, items, row, right.pop())
    claim = Claim()
    claim.start, claim.end = items[0].start, items[-1].end
    claim.side, claim.fix = right.pop(), "replace"
    return revalue(n, lattice, claim)


def _turn(
    n: Stating, lattice: Lattice, items: list[Item], row: list[Entry], side: str
) -> UtteranceKind:
    here = n.meaning.place(lattice, (items[0].start, items[-1].end))
    for entry in row:
        old = entry.finding
        if old.side == side:
            continue
        n.past("corrected", old)
        new = replace(old, side=cast(Side, side), said=(*old.said, here))
        n.do("changed", id=entry.id, finding=new)
    if n.s.holds.side is not None:
        n.hold(side=Hold(side, here, len(n.s.utterances)))
    return "command"


def _row(n: Stating, whole: bool) -> list[Entry]:
    last = last_claim(n)
    if whole:
        return _run(n)
    return [e for e in n.s.entries if e.claim == last and e.finding.side]


def _run(n: Stating) -> list[Entry]:
    """The sided findings back to where the side changed."""
    run: list[Entry] = []
    for entry in reversed(n.s.entries):
        if run and entry.finding.side and entry.finding.side != run[-1].finding.side:
            break
        if entry.finding.side:
            run.append(entry)
    return run


def turns_all(grammar: Grammar, before: Sequence[Item], items: Sequence[Item]) -> bool:
    """Nothing but the whole of what was said before, and that it is of the other side."""
    plain = all(set(it.roles) & _PLAIN or _limb(it) for it in items)
    sides = {side for it in items if (side := _side(it))}
    other = {side for it in before if (side := _side(it))} - sides
    return plain and len(sides) == 1 and bool(other) and _whole(grammar, items)


def _whole(grammar: Grammar, items: Sequence[Item]) -> bool:
    """ "All of that"; after a list it was taken for its end."""
    ends = {folded(form) for form in grammar.classes.get("all_of_it", ())}
    return any(
        r.kind in WHOLE or (r.kind == "list_end" and folded(it.text) in ends)
        for it in items
        for r in it.readings
    )


def _of_limb(n: Stating, entry: Entry, limbs: set[str]) -> bool:
    site = n.grammar.sites_of(entry.finding.test).get(entry.finding.site or "")
    return site is None or bool(limbs & {entry.finding.site, *site.part_of})


def _mixed(n: Stating, row: Sequence[Entry]) -> bool:
    """Several sections: how far back "all of that" goes is not said."""
    return len({n.grammar.area_of(e.finding.test).area for e in row}) > 1


def _side(item: Item) -> str | None:
    sides = {r.id for r in item.of_kind("side")} & set(OTHER_SIDE)
    return sides.pop() if len(sides) == 1 and "SIDE" in item.roles else None


def _limb(item: Item) -> bool:
    sites = item.of_kind("site")
    return bool(sites) and any(r.group == "limb" for r in sites)


def _by_mistake(items: Sequence[Item], i: int) -> bool:
    """ "Not the left", "I said left": the side that was said before, and is wrong."""
    while i and {r.kind for r in items[i - 1].readings} & _BETWEEN:
        if "DENY" in items[i - 1].roles:
            break
        i -= 1
    before = {r.kind for r in items[i - 1].readings} if i else set()
    return "misnamed" in before or ("DENY" in items[i - 1].roles and "verbal" in before)
