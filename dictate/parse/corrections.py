"""Corrections: operations on the narration so far; what they take out stays in the history."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.model import OTHER_SIDE, Side, UtteranceKind
from dictate.parse.amending import ask_value, last_claim, remove, side_of_claim, take_back
from dictate.parse.categories import Claim
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice
from dictate.parse.restating import restate
from dictate.parse.revaluing import revalue
from dictate.parse.swapping import swap
from dictate.resolve import questions

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def correct(
    n: Stating, lattice: Lattice, claim: Claim, claims: list[Claim], i: int
) -> UtteranceKind | None:
    """Take back, swap, or replace what a correction names: a value, a side, a site, or all."""
    n.said = claim.values or n.said
    says = bool(claim.values) or any(name.sign for name in claim.names)
    side = side_of_claim(claim)
    if claim.fix == "swap":
        return swap(n, lattice, claim)
    if claim.fix == "takeback":
        if claim.values and not (claim.names or claim.places):
            claim.fix = "replace"  # "strike that, three on the left, four on the right"
            return revalue(n, lattice, claim)
        if claim.values and _of_another(n, claim):
            return restate(n, lattice, claim, says, claims)
        if not says and known(n, claim) and (after := _value_after(claims, i)) is not None:
            after.names, after.places, after.fix = claim.names, claim.places, "replace"
            return "command"  # "scratch what I said of the left grip, I make it four"
        if says or claim.names:
            take_back(n, lattice)
            claim.fix = ""
            return n._state(lattice, claim, claims)
        if side:
            return revalue(n, lattice, claim)
        take_back(n, lattice)
        return "command"
    if not claim.names and not claim.places and not says and not side:
        if n.fixing and _says_why(lattice, claim):
            return "command"  # "knees are three plus, I looked at the wrong line"
        if (claim.unknown or claim.details or claim.degrees) and n.s.entries:
            return _ask_anew(n, lattice, claim)
        later = claims[i + 1] if i + 1 < len(claims) else None
        if later is not None and not later.fix:
            later.fix = claim.fix  # "sorry, I mean, left": the correction comes next
            return "command"
        return "command"
    if not claim.names and not claim.places:
        return revalue(n, lattice, claim)
    return restate(n, lattice, claim, says, claims)


def _says_why(lattice: Lattice, claim: Claim) -> bool:
    """It only says that there was a mistake, of what was corrected before it."""
    words = (it for it in lattice.items if claim.start <= it.start < claim.end)
    return any(r.kind == "wrong" for it in words for r in it.readings)


def _value_after(claims: list[Claim], i: int) -> Claim | None:
    """The next claim, if it is a value of nothing that it names."""
    after = claims[i + 1] if i + 1 < len(claims) else None
    bare = after is not None and after.values and not (after.names or after.places)
    return after if bare else None


def _of_another(n: Stating, claim: Claim) -> bool:
    """ "Strike that, the left grip is two": said after another test, it is of the grip."""
    last = last_claim(n)
    tests = {e.finding.test for e in n.s.entries if e.claim == last}
    return bool(tests) and known(n, claim) and not _could_be_of(n, claim, tests)


def _could_be_of(n: Stating, claim: Claim, tests: Collection[str]) -> bool:
    masks = [name.mask(n.types) for name in (*claim.names, *claim.places)]
    return any(mask & n.types.of(tests) for mask in masks)


def known(n: Stating, claim: Claim) -> bool:
    """A finding of its test and site is in the record, from an utterance before."""
    names = (*claim.names, *claim.places)
    sites = {r.id for x in names for r in x.sites}
    tests = {t for x in claim.names if x.tests for t in n.types.names(x.tests)}
    return any(
        (not sites or e.finding.site in sites) and (not tests or e.finding.test in tests)
        for e in n.s.entries
        if e.utterance < len(n.s.utterances) and (sites or tests)
    )


def not_that_side(n: Stating, claim: Claim, later: list[Claim]) -> bool:
    """ "On the right, not the right, the left": a side that was just said, denied."""
    side = claim.pside or claim.side
    bare = claim.pneg is not None and not (claim.names or claim.places or claim.values)
    last = last_claim(n)
    row = [e for e in n.s.entries if e.claim == last and e.id in n.taken]
    if not bare or side not in OTHER_SIDE or {e.finding.side for e in row} != {side}:
        return False
    after = later[0] if later else None
    other = OTHER_SIDE[side]
    if after is not None and (after.pside or after.side) != other:
        return False
    for entry in row:
        n.past("corrected", entry.finding)
        n.do("changed", id=entry.id, finding=replace(entry.finding, side=other))
    if after is not None:
        after.pside = after.side = None
        after.fix = "replace"
    return True


def doubt_last(n: Stating, lattice: Lattice) -> set[UtteranceKind]:
    """A correction that changed nothing: what was said last is asked, never kept as it was."""
    now = len(n.s.utterances)
    mine = [e for e in n.s.entries if e.utterance == now]
    last = max([e.claim for e in n.s.entries if e.utterance >= now - 1], default=-1)
    named = {
        r.test
        for it in lattice.items
        for r in it.readings
        if r.kind in ("test", "sign") and {"TEST", "SIGN"} & set(it.roles)
    }
    spoken = [e for e in n.s.entries if e.finding.test in named]
    of_these = [e for e in spoken if e.claim == spoken[-1].claim] if spoken else []
    row = mine or of_these or [e for e in n.s.entries if e.claim == last]
    here = n.meaning.place(lattice, (0, len(lattice.tokens)))
    for entry in row[-4:]:
        remove(n, entry, "corrected")
        n.open(questions.again(n.grammar, entry.finding, (*entry.finding.said, here)))
    return {"finding"} if row else set()


def of_all(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """ "All of that was the left arm": the last run is of that side; None if it is not said."""
    if not any(r.kind == "all_of_it" for it in items for r in it.readings) or any(
        it.grade is not None for it in items
    ):
        return None
    sides = {r.id for it in items for r in it.readings if r.kind == "side" and r.id in OTHER_SIDE}
    sides |= {r.side for it in items for r in it.readings if r.side in OTHER_SIDE}
    entries = [e for e in n.s.entries if e.id in n.s.run]
    if len(sides) > 1:  # "I've said left, sorry, all of that is the right"
        whole = [it.end for it in items if any(r.kind == "all_of_it" for r in it.readings)]
        after = [it for it in items if it.start >= whole[-1]]
        sides = {r.id for it in after for r in it.readings if r.kind == "side"} & set(OTHER_SIDE)
    if len(sides) != 1 or not entries:
        return None
    side = sides.pop()
    here = n.meaning.place(lattice, (items[0].start, items[-1].end))
    for entry in entries:
        if entry.finding.side not in (None, side):
            n.past("corrected", entry.finding)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(
                    entry.finding, side=cast(Side, side), said=(*entry.finding.said, here)
                ),
            )
    if n.s.holds.side is not None:
        n.hold(side=Hold(side, here, len(n.s.utterances)))
    return "command"


def _ask_anew(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    """ "Make that plastic": corrected, and nobody knows into what."""
    last = last_claim(n)
    fresh = [e for e in n.s.entries if e.claim == last and e.utterance >= len(n.s.utterances) - 1]
    for entry in fresh:
        ask_value(n, lattice, claim, entry)
    return "finding" if fresh else "remark"
