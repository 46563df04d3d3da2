"""A finding enters the record: said again, said otherwise, or said of the same in other words."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.statement import Said
from dictate.model import Finding, Place
from dictate.parse.state import Entry
from dictate.resolve import questions
from dictate.resolve.fit import both_true, fit

if TYPE_CHECKING:
    from dictate.parse.working import Working


def enter(
    n: Working, finding: Finding, labels: frozenset[str], link: str, taken: Sequence[int] = ()
) -> list[int]:
    """Put a finding in the record; a second, different value becomes a conflict.

    Args:
        n: The narration.
        finding: What was found.
        labels: Words that tell kinds of one finding apart.
        link: How its claim goes on from the one before it.
        taken: The entries of the same sentence.

    Returns:
        The ids of the entries that it made or changed.
    """
    key = (finding.test, finding.site, finding.side)
    now = len(n.s.utterances)
    if finding.side is None and finding.normal and (same := _of_both_sides(n, finding)):
        return same
    for entry in n.s.entries:
        old = entry.finding
        if (old.test, old.site, old.side) != key:
            continue
        if old.value == finding.value and (entry.labels == labels or not labels):
            said = _also_said(old, finding)
            detail = tuple(dict.fromkeys([*old.detail, *finding.detail]))
            n.do("changed", id=entry.id, finding=replace(old, said=said, detail=detail))
            return [entry.id]
        if entry.labels != labels or (link == "rest" and old.detail):
            continue
        graded = _graded(n, old, finding) if entry.utterance == now else None
        if graded is not None:
            n.do("changed", id=entry.id, finding=graded)
            return [entry.id]
        signs = {old.value, finding.value} == {"present", "absent"}
        if link in ("except", "but") and entry.id in taken and not (signs and link == "but"):
            if old.normal is False and finding.normal:
                return []
            n.do("removed", id=entry.id)
            break
        if entry.utterance == now and _both_true(n, entry, finding, taken):
            continue
        if n.correcting or _mistaken(n, old):
            n.do("removed", id=entry.id)
            n.past("corrected", old)
            break
        n.do("removed", id=entry.id)
        n.past("questioned", old)
        n.open(questions.conflict(n.grammar, old, finding))
        return []
    n.do("added", finding=finding, labels=labels)
    entry = n.s.entries[-1]
    _extend_run(n, entry)
    return [entry.id]


def _of_both_sides(n: Working, finding: Finding) -> list[int]:
    """ "Both discs are sharp, without pallor": the same once more, without the sides."""
    same = [
        e
        for e in n.s.entries
        if (e.finding.test, e.finding.site, e.finding.value)
        == (finding.test, finding.site, finding.value)
        and e.utterance == len(n.s.utterances)
        and e.finding.side is not None
    ]
    return [e.id for e in same] if len({e.finding.side for e in same}) > 1 else []


def _graded(n: Working, old: Finding, new: Finding) -> Finding | None:
    """ "Weak, four out of five": the grade, with the word beside it."""
    values = n.grammar.tests[new.test].values
    for word, grade in ((old, new), (new, old)):
        beside = values[word.value].beside if word.value in values else ()
        if grade.value in beside:
            detail = tuple(dict.fromkeys([*word.detail, word.value, *grade.detail]))
            return replace(grade, said=_also_said(old, new), detail=detail)
    return None


def _mistaken(n: Working, old: Finding) -> bool:
    """ "Left grip four, not five": five was found of it before."""
    for val in n.mistaken:
        if val.item is None:
            continue
        found = fit(n.grammar, old.test, Said(grade=val.item.grade, readings=val.item.readings))
        if found is not None and not found.misfit and found.value == old.value:
            return True
    return False


def _both_true(n: Working, entry: Entry, finding: Finding, taken: Sequence[int]) -> bool:
    """Two words of one statement are both true."""
    together = entry.id in taken or entry.claim == n.s.claims
    return both_true(n.grammar, finding.test, {entry.finding.value, finding.value}, together)


def _extend_run(n: Working, entry: Entry) -> None:
    """The last run: findings of one side, back to where the side or the section changed."""
    by_id = {e.id: e for e in n.s.entries}
    last = by_id.get(n.s.run[-1]) if n.s.run else None
    side = entry.finding.side
    run = n.s.run
    if last is not None and side is not None:
        same = (
            n.grammar.area_of(last.finding.test).area == n.grammar.area_of(entry.finding.test).area
        )
        if (last.finding.side != side and last.claim != entry.claim) or not same:
            run = ()
    if side is not None:
        n.do("set", run=(*run, entry.id))


def _also_said(old: Finding, new: Finding) -> tuple[Place, ...]:
    """Where both were said, each place once: only places of the same utterance can come twice."""
    here = {place.utterance for place in new.said}
    known = set(itertools.takewhile(lambda place: place.utterance in here, reversed(old.said)))
    return (*old.said, *(place for place in dict.fromkeys(new.said) if place not in known))
