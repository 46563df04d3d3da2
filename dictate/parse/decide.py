"""Record, ask, or leave as a remark: the one stage between what was read and the record.

Every word of a recorded claim is accounted for: used by its reading, or one that changes nothing
(common/harmless.yaml). What is left over makes a question or a remark.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.grammar.names import WHOLE
from dictate.model import QuestionKind
from dictate.parse.categories import Claim
from dictate.parse.draft import Draft
from dictate.parse.items import Lattice
from dictate.parse.targets import Target

if TYPE_CHECKING:
    from dictate.parse.working import Working

#: From so many words that nobody knows on, more than those of the claim, it is no statement.
MANY_UNKNOWN = 3
#: Kinds of words that name who tells it, and no other time, person or condition.
_WHO_TELLS = {"hearsay", "reported"}


def asides(claims: list[Claim], lattice: Lattice, meant: bool = False) -> list[bool]:
    """For each claim: it speaks of another time, another person, or of what would be.

    An aside that stands first, or by itself, covers all that follows and what it hangs on, until
    "but", or a word of today, begins what is found now. Who tells it is none where the examiner
    says that it is a finding (``meant``).
    """
    spans = [_asides(claim, lattice, meant) for claim in claims]
    if not any(spans):
        return [False] * len(claims)
    out = [bool(span) for span in spans]
    for i, claim in enumerate(claims):
        if not spans[i]:
            continue
        own = bool(claim.values or claim.names)
        if not own and i and claim.link != "but" and not _goes_on(claim, claims[i + 1 : i + 2]):
            out[i - 1] = True  # "absent, according to the letter"
        first = spans[i][0][0] <= _first(claim)
        if first or not own:
            for k in range(i + 1, len(claims)):
                if claims[k].link == "but" or _of_today(claims[k], lattice):
                    break
                out[k] = True
    return out


def _asides(claim: Claim, lattice: Lattice, meant: bool) -> list[tuple[int, int]]:
    """Its asides; of what is meant, those that say no more than who tells it are none."""
    told = {
        (it.start, it.end) for it in lattice.items if {r.kind for r in it.readings} <= _WHO_TELLS
    }
    return [span for span in claim.asides if not (meant and span in told)]


def _goes_on(claim: Claim, later: list[Claim]) -> bool:
    """ "Gait antalgic, he says his back hurts": what follows is told, and not what was found."""
    last = claim.asides[-1][1]
    more = any(a >= last for a, _ in (*claim.unknown, *claim.talk, *claim.strange))
    return more or any(c.link == "next" for c in later)


def _of_today(claim: Claim, lattice: Lattice) -> bool:
    """A word of today opens it ("today they are two plus", "it now is")."""
    items = [it for it in lattice.items if claim.start - 3 <= it.start < claim.end]
    return any(r.kind == "today" for it in items for r in it.readings)


def _first(claim: Claim) -> int:
    spans = [s for n in (*claim.names, *claim.places) for s in n.spans] + [
        v.span for v in claim.values
    ]
    return min((a for a, _ in spans), default=10**6)


def decide(
    n: Working,
    lattice: Lattice,
    claim: Claim,
    claims: list[Claim],
    targets: list[Target],
    draft: Draft,
    excepted: bool,
) -> Draft:
    """What becomes of a draft; a draft without findings and asks is a remark."""
    if excepted:
        draft.asks = draft.asks or [("value", [])]
        if not draft.tests and n.taken:
            draft.tests = [e.finding.test for e in n.s.entries if e.id == n.taken[-1]]
    unknown = sum(b - a for c in claims for a, b in c.unknown)
    mine = sum(b - a for a, b in claim.unknown)
    graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
    own = any(t.own for t in targets) or (graded and any(t.name.sites for t in targets))
    if claim.compare and draft.findings and not _one_word_for_both(claim):
        draft.findings, draft.asks = [], [("value", [])]
    i = next((k for k, c in enumerate(claims) if c is claim), 0)
    if (
        i
        and draft.findings
        and any(v.deny for v in claim.values)
        and claims[i - 1].pneg is not None
        and claims[i - 1].unknown
    ):
        draft.findings, draft.asks = [], [("value", [])]  # "she can't stand, so no Romberg"
    sides = {claim.side, claim.pside, *(x.side for x in claim.names if len(claim.names) == 1)}
    loose = claim.pneg is not None or {"right", "left"} <= sides
    if (claim.leftover or loose) and draft.findings:
        draft.findings, draft.asks = [], [("value", [])]
    if n.nerve and draft.findings:
        tests = n.grammar.tests
        nerves = {n.grammar.area_of(t).area for t, spec in tests.items() if spec.numbered}
        others = [f for f in draft.findings if n.grammar.area_of(f.test).area not in nerves]
        if any(
            f.site in (None, WHOLE) for f in others
        ):  # "V: sensation normal": of the face, or all?
            kind: QuestionKind = "site" if n.grammar.sites_of(others[0].test) else "test"
            draft.findings, draft.asks = [], [(kind, [])]
    if mine and draft.findings:
        draft.findings, draft.asks = [], [("value", [])]
        draft.why.append("words that were not understood")
    if claim.talk and not draft.findings:
        draft.asks = []
    tests = n.grammar.tests
    everyday = bool(draft.findings) and all(tests[f.test].everyday for f in draft.findings)
    if (
        everyday
        and n.strange
        and not any(n.grammar.area_of(f.test).area == n.s.holds.section for f in draft.findings)
    ):
        draft.findings = []
    going = n.meant or bool(n.s.entries)
    if n.strange and not n.trade and not draft.findings and not going:
        draft.asks = []
    if not draft.findings and draft.asks:
        signed = bool(claim.names) and all(name.sign for name in claim.names)
        has_value = bool(claim.values) or excepted or claim.hesitant or claim.doubts or signed
        trade = n.trade or going
        if (own and has_value and trade and (claim.doubts or going)) or (
            own
            and n.trade
            and mine
            and unknown <= MANY_UNKNOWN
            and any(x.tests for x in claim.names)
        ):
            pass
        elif (
            unknown >= MANY_UNKNOWN
            or (mine and not own)
            or (mine and not has_value)
            or (not has_value and mine)
            or (not going and unknown and not (own and has_value))
        ):
            draft.asks = []
    return draft


def _one_word_for_both(claim: Claim) -> bool:
    return False
