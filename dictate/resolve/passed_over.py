"""Words of an utterance of which the first reader made nothing, and the second asks.

"Tone normal. Not in the legs.": what the first recorded stands, and the rest must not be lost.
What it took for talk, for how something was tried, or beside something not done for the reason,
stays that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from dictate.model import Finding, Place, Question, Utterance
from dictate.resolve.fit import NOT_DONE

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def of_what_was_passed_over(
    resolver: Resolver, utterance: Utterance, questions: Iterable[Question]
) -> list[Question]:
    """Those of the second's questions that are about nothing that the first took up.

    Args:
        resolver: The first, after this utterance.
        utterance: What both heard.
        questions: What the second asks of it.
    """
    taken = [p for p in taken_up(resolver) if p.utterance == utterance.id]
    here = [e.finding for e in resolver.entries if any(p in taken for p in e.finding.said)]
    undone = {finding.test for finding in here if finding.value in NOT_DONE}
    details = {text for finding in here for text in finding.detail}

    def passed_over(question: Question) -> bool:
        about = [p for p in question.about if p.utterance == utterance.id]
        if not about or any(_meet(a, b) for a in about for b in taken):
            return False
        if _answered_later(question, here, utterance.id):
            return False
        if any(f.test in undone for choice in question.choices for f in choice.findings):
            return False
        return not any(utterance.text[p.start : p.end] in text for p in about for text in details)

    return [question for question in questions if passed_over(question)]


def taken_up(resolver: Resolver) -> Iterator[Place]:
    """Where the words lie that the first took for talk, or that a finding or question is of."""
    yield from resolver.talked
    for entry in resolver.entries:
        yield from entry.finding.said
    for pending in resolver.pending:
        yield from pending.question.about
    for change in resolver.history:
        yield from change.finding.said if change.finding else ()
        yield from change.question.about if change.question else ()


def _meet(one: Place, other: Place) -> bool:
    return one.start < other.end and other.start < one.end


def _answered_later(question: Question, found: Sequence[Finding], utterance: str) -> bool:
    """ "He names all I show him, so naming is intact": what was found in the end answers it."""
    spots = {(f.test, f.site, f.side) for c in question.choices for f in c.findings}
    places = {(test, site) for test, site, _ in spots}
    if question.kind != "value" or len(places) != 1:
        return False
    end = max((p.end for p in question.about if p.utterance == utterance), default=0)
    test, site = next(iter(places))
    later = [f for f in found if f.test == test and _starts(f, utterance) >= end]
    sides = {side for _, _, side in spots} - {None}
    got = {f.side for f in later if not sides or f.site == site}
    return bool(later) and (sides <= got if sides else None in got or len(got) == 2)


def _starts(finding: Finding, utterance: str) -> int:
    return min((p.start for p in finding.said if p.utterance == utterance), default=-1)
