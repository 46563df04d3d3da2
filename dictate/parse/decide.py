"""Record, ask, or leave as a remark: the one stage between what was read and the record.

Every word of a recorded claim is accounted for: used by its reading, or one that changes nothing
(``harmless`` in common/closed_classes.yaml). What is left over makes a question or a remark.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.parse.categories import Claim
from dictate.parse.lattice import Lattice
from dictate.parse.meaning import Draft, Target

if TYPE_CHECKING:
    from dictate.parse.narration import Narration

#: From so many words that nobody knows on, more than those of the claim, it is no statement.
MANY_UNKNOWN = 3


def is_aside(claims: list[Claim]) -> bool:
    """The sentence speaks of another time, another person, or of what would be."""
    if not any(c.asides for c in claims):
        return False
    for claim in claims:
        if claim.asides:
            own = claim.values or claim.names
            first = claim is claims[0] and claim.asides[0][0] <= _first(claim)
            return bool(not own or first or claim is claims[0])
    return False


def _first(claim: Claim) -> int:
    spans = [s for n in (*claim.names, *claim.places) for s in n.spans] + [v.span for v in claim.values]
    return min((a for a, _ in spans), default=10**6)


def decide(
    n: Narration, lattice: Lattice, claim: Claim, claims: list[Claim], targets: list[Target], draft: Draft,
    excepted: bool,
) -> Draft:  # fmt: skip
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
    if mine and draft.findings:
        draft.findings, draft.asks = [], [("value", [])]
        draft.why.append("words that were not understood")
    if claim.talk and not draft.findings:
        draft.asks = []
    if not draft.findings and draft.asks:
        going = bool(n.s.entries) or n.s.opened or bool(n.s.open)
        has_value = bool(claim.values) or excepted or claim.hesitant or claim.doubts
        if unknown >= MANY_UNKNOWN or (mine and not own) or (mine and not has_value):
            draft.asks = []
        elif not has_value and mine:
            draft.asks = []
        elif not going and unknown and not (own and has_value):
            draft.asks = []
    return draft


def _one_word_for_both(claim: Claim) -> bool:
    return False
