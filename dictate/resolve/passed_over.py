"""Words of an utterance of which the first reader made nothing, and the second asks.

"Tone normal. Not in the legs.": what the first recorded stands, and the rest must not be lost.
What it took for talk, for how something was tried, or beside something not done for the reason,
stays that.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from dictate.model import Finding, Place, Question, Utterance
from dictate.resolve.fit import NOT_DONE

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: More places and changes than one utterance brings.
LATEST = 256


def of_what_was_passed_over(
    resolver: Resolver, utterance: Utterance, questions: Iterable[Question]
) -> list[Question]:
    """Those of the second's questions that are about nothing that the first took up.

    Args:
        resolver: The first, after this utterance.
        utterance: What both heard.
        questions: What the second asks of it.
    """
    asked = [q for q in questions if any(p.utterance == utterance.id for p in q.about)]
    if not asked:
        return []
    taken = taken_up(resolver, utterance.id)
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

    return [question for question in asked if passed_over(question)]


def taken_up(resolver: Resolver, utterance: str) -> list[Place]:
    """Where the words of the last utterance lie that the first took for talk, or that a finding
    or question is of.

    Only the latest places of each finding are gone through, and the latest changes: one that was
    said a thousand times has a thousand.

    Args:
        resolver: The first, after this utterance.
        utterance: Its id.
    """
    found = (place for entry in resolver.entries for place in entry.finding.said[-LATEST:])
    asked = (place for one in resolver.pending for place in one.question.about)
    changes = resolver.history[-LATEST:]
    gone = (place for one in changes if one.finding for place in one.finding.said[-LATEST:])
    settled = (place for one in changes if one.question for place in one.question.about)
    places = itertools.chain(resolver.talked, found, asked, gone, settled)
    return [place for place in places if place.utterance == utterance]


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
