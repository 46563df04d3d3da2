"""A value alone in a sentence, right after a finding: "Tone increased in the arm. Spastic."

It is said of the same: a word that is as true joins it, anything else is asked about.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.model import UtteranceKind
from dictate.parse.amending import ask_value, last_claim, value_of
from dictate.parse.categories import Claim
from dictate.parse.entering import enter
from dictate.parse.items import Item, Lattice
from dictate.parse.state import Entry
from dictate.resolve.fit import is_normal
from dictate.resolve.values_alone import of_one_kind

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def of_the_last(
    n: Stating, lattice: Lattice, claim: Claim, claims: list[Claim]
) -> UtteranceKind | None:
    """Enter the value as one of the last finding.

    Returns:
        None where the sentence is more than a value, or the last finding does not take it.
    """
    if n.s.replying or n.waited or len(claims) > 1 or not _only_value(claim):
        return None
    last = last_claim(n)
    entries = [e for e in n.s.entries if e.claim == last]
    if not entries or any(e.utterance < len(n.s.utterances) - 1 for e in entries):
        return None
    values = [_value(n, e, claim) for e in entries]
    if None in values or all(e.finding.value == v for e, v in zip(entries, values, strict=True)):
        return None
    own = {v.span for v in claim.values}
    test = entries[0].finding.test
    if own and any(not _is_of(it, test) for it, span in claim.details if span not in own):
        return None
    here = n.spoken(lattice, claim)
    just_now = [e.id for e in n.s.entries if e.utterance == len(n.s.utterances)]
    for entry, value in zip(entries, values, strict=True):
        if claim.doubts:
            ask_value(n, lattice, claim, entry)
            continue
        old = entry.finding
        normal = is_normal(n.grammar, old.test, str(value))
        labels = _conditions(lattice, claim, old.test)
        said = (*old.said[-1:], here)
        detail = tuple(sorted(labels)) if labels else old.detail
        new = replace(old, value=str(value), normal=normal, said=said, detail=detail)
        n.taken += enter(n, new, labels or entry.labels, "start", just_now)
    return "finding"


def _only_value(claim: Claim) -> bool:
    own = {v.span for v in claim.values}
    details = [
        span for it, span in claim.details if span not in own and not it.of_kind("detail")
    ]  # fmt: skip
    more = (
        claim.places or claim.side or claim.pside or claim.unknown or claim.rest
        or claim.parts or claim.fix or claim.repeat or details or claim.compare
        or (claim.names and claim.details) or claim.pneg is not None or claim.strange
        or claim.asides
    )  # fmt: skip
    said = [*claim.names, *claim.values, *(_words(claim) if not own else ())]
    one = len(said) == 1 and not any(x.sites or x.side or x.both or not x.sign for x in claim.names)
    return not more and one and claim.link in ("start", "waits", "comma")


def _is_of(item: Item, test: str) -> bool:
    return any(r.test == test for r in item.of_kind("detail"))


def _conditions(lattice: Lattice, claim: Claim, test: str) -> frozenset[str]:
    """ "With reinforcement one plus": what tells the second value from the first."""
    own = {v.span for v in claim.values}
    return frozenset(
        lattice.text(*span)
        for it, span in claim.details
        if own and span not in own and _is_of(it, test)
    )


def _words(claim: Claim) -> list[Item]:
    """What was read as a detail, and is a value of some test as well ("Spastic.")."""
    return [item for item, _ in claim.details]


def _value(n: Stating, entry: Entry, claim: Claim) -> str | None:
    """The value for the finding's test; a word that any test may have says too little."""
    test = entry.finding.test
    if claim.names:  # a word that also names a sign ("Spastic.")
        return next((r.id for r in claim.names[0].sign if r.test == test), None)
    if not claim.values:
        return next((r.id for r in _words(claim)[0].of_kind("value") if r.test == test), None)
    val = claim.values[0]
    if val.item is None or val.negated or val.deny or val.notdone:
        return None
    own = val.item.grade is not None or of_one_kind(val.item.readings, test)
    return value_of(n, entry.finding, val) if own else None
