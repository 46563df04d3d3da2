"""Why a part was not examined, told in a clause of its own that no word announces."""

from __future__ import annotations

from dictate.parse.categories import Claim


def told_why(claims: list[Claim]) -> list[Claim]:
    """ "Gait not done, he cannot stand": what somebody could not do says why, and names nothing."""
    out: list[Claim] = []
    for claim in claims:
        if out and claim.link in ("comma", "next") and _undone(out[-1]) and _names_nothing(claim):
            out[-1].reasons = (*out[-1].reasons, (claim.start, claim.end))
            continue
        out.append(claim)
    return out


def _undone(claim: Claim) -> bool:
    """Something that is named was not examined."""
    return bool(claim.names) and bool(claim.values) and all(v.notdone for v in claim.values)


def _names_nothing(claim: Claim) -> bool:
    """Only that something could not be, or was not: no thing, side, value, time or correction."""
    named = claim.names or claim.places or claim.side or claim.pside or claim.sections
    more = claim.fix or claim.repeat or claim.asides or claim.doubts or claim.parts or claim.those
    could_not = any(v.notdone == "unable" for v in claim.values)
    only_that = could_not and all(v.notdone for v in claim.values)
    graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
    strange = bool(claim.unknown) and not graded  # "none in the room"
    return (only_that or strange) and not (named or more)
