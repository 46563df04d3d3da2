"""A side that comes once, at the end of a list of items, holds for all of them."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.parse.categories import Claim

_GOES_ON = ("and", "comma", "start", "next", "colon")


def spread(grammar: Grammar, claims: list[Claim]) -> None:
    """Give the items of a list the side at its end; a claim that is nothing but it goes."""
    _from_last_item(claims)
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


def _from_last_item(claims: list[Claim]) -> None:
    """ "Biceps two plus, triceps two plus on both sides": the side stands at the last item."""
    row: list[Claim] = []
    first = next((c for c in claims if _sided(c)), None)
    late = first is not None and (first.side_placed or first.side_far)
    leads = first is not None and not (late or first.side in ("both", "alike"))
    for i, claim in enumerate(claims):
        if claim.link not in _GOES_ON or not claim.values:
            row = []
        if claim.link == "next" and leads:
            row = []
        if not _sided(claim):
            if (claim.names or claim.places) and claim.values:
                row.append(claim)
            continue
        late = claim.side_placed or claim.side_far or claim.side in ("both", "alike")
        named = bool(claim.names or claim.places) and all(not n.side for n in claim.names)
        if row and late and claim.side and named:
            after = claims[i + 1] if i + 1 < len(claims) else None
            goes_on = after is not None and after.link in ("comma", "and")
            more = after is not None and goes_on and after.names and after.values
            open_ = more and after is not None and not _sided(after)
            side = "both" if claim.side == "alike" else claim.side
            if claim.side != "alike" or _graded(claim):
                for one in (*row, claim):
                    one.list_side = "ask" if open_ and one is not claim else side
                    one.list_far = claim.side_far
        row = []


def _graded(claim: Claim) -> bool:
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
