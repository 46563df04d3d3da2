"""A correction that was heard and not understood: what it may be of is not left standing.

"Sorry, other way round for the knees.": it is asked about, and until that is answered the note
must not hold the knees as they were said first.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading
from dictate.resolve.amends import ways_back
from dictate.resolve.context import Entry, Pending
from dictate.resolve.corrections import remove
from dictate.resolve.doubtful import tests_of
from dictate.resolve.passed_over import LATEST
from dictate.resolve.retold import open_of

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: What announces that something said before was wrong.
_CUES = frozenset({"take_back", "replace", "swap", "erases", "wrong", "changing", "whole_run"})
#: What a correction does to what it corrects.
_DONE = frozenset({"corrected", "taken_back", "questioned"})


def hold_back(resolver: Resolver, news: Sequence[Pending]) -> None:
    """Let the question that a correction ended in hold what the correction may be of.

    Args:
        resolver: The first reader, after the utterance.
        news: The questions that were opened for it.
    """
    reading = resolver.read_last
    still = open_of(news, resolver.pending)
    if reading is None or not still or any(one.withdrawn for one in still):
        return
    cue = _announced(reading)
    if cue is None:
        return
    here, asked = reading.utterance.id, tests_of(still)
    found = _may_mean(resolver, reading) + _said_here(resolver, asked, cue)
    if any(c.utterance == here and c.what in _DONE for c in resolver.history[-LATEST:]):
        # something was put right; a question that is left over may be of something else
        found = [e for e in found if not asked or e.finding.test in asked]
    if not found:
        return
    pending = still[-1]
    findings = tuple(entry.finding for entry in found)
    for entry in found:
        remove(resolver, entry, "questioned")
    question = pending.question
    own = [choice for choice in question.choices if choice.findings]
    rest = [choice for choice in question.choices if not choice.findings]
    choices = (*own, *ways_back(findings), *rest)
    about = dict.fromkeys([*(p for f in findings for p in f.said), *question.about])
    pending.question = replace(question, about=tuple(about), choices=choices)
    pending.withdrawn = tuple(found)


def _announced(reading: Reading) -> int | None:
    """Where the words end that announce a correction; None where none do.

    A "no" may be a denial as well, so it announces none here.
    """
    ends = (
        reading.chars((item.start, item.end))[1]
        for sentence in reading.sentences
        for item in sentence.row
        if item.kind != "deny" and not _CUES.isdisjoint({item.kind, *item.others})
    )
    return max(ends, default=None)


def _said_here(resolver: Resolver, asked: Collection[str], cue: int) -> list[Entry]:
    """What the same breath has found before the cue, of a test that it ends in a question of.

    "Left ptosis, sorry, not left, right ptosis."
    """
    now = len(resolver.utterances) - 1
    return [
        entry
        for entry in resolver.entries
        if entry.utterance == now and entry.finding.test in asked
        if min(place.start for place in entry.finding.said) < cue
    ]


def _may_mean(resolver: Resolver, reading: Reading) -> list[Entry]:
    """The latest earlier findings of what the utterance names; else those said just before it."""
    now = len(resolver.utterances) - 1
    before = [entry for entry in resolver.entries if entry.utterance < now]
    row = [item for sentence in reading.sentences for item in sentence.row]
    tests = {r.test for x in row for r in x.of_kind("test", "sign", "after_site") if r.test}
    sites = {r.id for x in row for r in x.of_kind("site") if r.id}
    named = [
        e
        for e in before
        if (e.finding.test in tests or (not tests and e.finding.site in sites))
        and (not sites or e.finding.site in sites or e.finding.site is None)
    ]
    found = named or ([] if tests or sites else before)
    last = max((e.utterance for e in found), default=0)
    return [e for e in found if e.utterance == last]
