"""What is said of the whole of one side, after parts of the other: "the left is all normal"."""

from __future__ import annotations

from dictate.grammar.names import WHOLE
from dictate.model import OTHER_SIDE
from dictate.parse.categories import Claim, Name
from dictate.parse.holding import Holding
from dictate.parse.items import Lattice
from dictate.parse.spreading import graded
from dictate.parse.targets import Target
from dictate.resolve.those import whole_of


def all_of_side(n: Holding, lattice: Lattice, claim: Claim) -> list[Target] | None:
    """ "V1 reduced on the right. The left is all normal.": the test, of that side.

    Returns:
        What the claim is said of; None where it is no such claim, or is not plain.
    """
    side = claim.side or claim.pside
    bare = not (claim.names or claim.places or claim.unknown or claim.rest or claim.doubts)
    if side not in OTHER_SIDE or not (bare and claim.values) or any(v.deny for v in claim.values):
        return None
    now = len(n.s.utterances)
    near = [e.finding for e in n.s.entries if e.utterance == now]
    near = [f for f in near if f.test == near[-1].test]
    sides = {f.side for f in near}
    sited = {f.site for f in near if f.side == OTHER_SIDE[side]} - {None, WHOLE}
    if not _every(lattice, claim) and not (
        sides == {OTHER_SIDE[side]}
        and sited - {r.id for t in n.before for r in t.name.sites}
        and _side_as_place(n, lattice, claim, side)
    ):
        return None
    if not sited or side in sides or OTHER_SIDE[side] not in sides:
        return None
    name = Name()
    name.tests = n.types.bit[near[-1].test]
    name.spans = ()
    if graded(claim):
        held = n.s.holds.item_site or n.s.holds.site
        found = [site for site in sited if site]
        whole = whole_of(n.grammar, near[-1].test, found, held.id if held else "")
        if not _every(lattice, claim):
            return None
        if whole is None:
            return []  # of these alone, or of more?
        name.sites, name.smask = whole, n.types.sites(whole)
    n.hold(item_site=None)  # "LLE MAS 1+, right side normal": no limb holds
    return [Target(name, True)]


def _side_as_place(n: Holding, lattice: Lattice, claim: Claim, side: str) -> bool:
    """A form such as "right side" stands before the value."""
    first = min(v.span[0] for v in claim.values)
    forms = {f.lower() for f in getattr(n.grammar.sides, side) if " " in f}
    before = (it for it in lattice.items if claim.start <= it.start < first)
    return any("SIDE" in it.roles and it.text in forms for it in before)


def _every(lattice: Lattice, claim: Claim) -> bool:
    """ "All" or "everything" stands right before the value."""
    first = min(v.span[0] for v in claim.values)
    before = [it for it in lattice.items if claim.start <= it.start < first]
    return any(r.kind == "every" for it in before for r in it.readings)
