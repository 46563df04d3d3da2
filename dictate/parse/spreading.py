"""A side that comes once, at the end of a list of items, holds for all of them."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.parse.categories import Claim
from dictate.parse.items import Lattice

_GOES_ON = ("and", "comma", "start", "next", "colon")


def spread(grammar: Grammar, lattice: Lattice, claims: list[Claim]) -> None:
    """Give the items of a list the side at its end; a claim that is nothing but it goes."""
    _from_last_item(lattice, claims)
    last = claims[-1] if claims else None
    if last is None or len(claims) < 2 or last.link not in ("comma", "next", "and"):
        return
    side = _lone_side(last) or _side_of_limbs(grammar, last, claims[:-1])
    named = [c for c in claims[:-1] if c.values and not _sided(c)]
    if side is None or not named or any(_sided(c) for c in claims[:-1] if c.values):
        return
    for one in named:
        one.list_side, one.list_far = side, True
    last.stop = True
    claims.remove(last)


def _sided(claim: Claim) -> bool:
    named = any(n.side for n in (*claim.names, *claim.places))
    return bool(claim.side or claim.pside) or named


def _from_last_item(lattice: Lattice, claims: list[Claim]) -> None:
    """ "Biceps two plus, triceps two plus on both sides": the side stands at the last item."""
    row: list[Claim] = []
    first = next((c for c in claims if _sided(c)), None)
    late = first is not None and (first.side_placed or first.side_far)
    leads = first is not None and not (late or first.side in ("both", "alike"))
    leads = leads and first is not None and not _closed(lattice, first)
    for i, claim in enumerate(claims):
        item = bool(claim.names or claim.places) and bool(claim.values)
        if claim.link not in _GOES_ON or not claim.values:
            row = []
        if claim.link == "next" and leads:
            row = []
        if not _sided(claim):
            if item:
                row.append(claim)
            continue
        closed = _closed(lattice, claim)
        side = claim.side or (claim.places[-1].side if claim.places and not claim.names else None)
        late = claim.side_placed or claim.side_far or side in ("both", "alike") or closed
        named = bool(claim.names or claim.places) and all(not n.side for n in claim.names)
        if row and late and side and named:
            open_ = _goes_on(claims[i + 1 :])
            if side != "alike" or graded(claim):
                for one in (*row, claim):
                    said = "both" if side == "alike" else side
                    one.list_side = "ask" if open_ and one is not claim else said
                    one.list_far = claim.side_far or closed
        row = []


def _goes_on(after: list[Claim]) -> bool:
    """Items of the list follow that get no side of their own."""
    for claim in after:
        item = bool(claim.names or claim.places) and bool(claim.values)
        if claim.link not in ("comma", "and") or not item:
            return claim is not after[0]
        if _sided(claim):
            return False
    return bool(after)


def _closed(lattice: Lattice, claim: Claim) -> bool:
    """A word that closes a list stands in the claim ("that's the right", "all bilateral")."""
    return any(
        claim.start <= it.start < claim.end and any(r.kind == "list_end" for r in it.readings)
        for it in lattice.items
    )


def graded(claim: Claim) -> bool:
    """It says a grade."""
    return any(v.item is not None and v.item.grade is not None for v in claim.values)


def _lone_side(claim: Claim) -> str | None:
    """The side of a claim that says nothing else ("..., all of that bilaterally")."""
    bare = not (claim.names or claim.values or claim.places or claim.unknown)
    side = claim.pside or claim.side
    return side if bare and side in ("right", "left", "both") else None


def _side_of_limbs(grammar: Grammar, claim: Claim, before: list[Claim]) -> str | None:
    """ "..., both legs": a limb at the end that all that was named is part of."""
    names = (*claim.names, *claim.places)
    if len(names) != 1 or names[0].tests or claim.values or claim.unknown:
        return None
    limbs = {r.id for r in names[0].sites if r.group == "limb"}
    side = claim.side or claim.pside or names[0].side or ("both" if names[0].both else None)
    if not limbs or side not in ("right", "left", "both"):
        return None
    for c in before:
        for name in c.names:
            parts = [
                grammar.groups[r.group].sites[r.id].part_of
                for r in name.sites
                if r.group in grammar.groups
            ]
            if name.sites and not any(limbs & set(part) for part in parts):
                return None
    return side
