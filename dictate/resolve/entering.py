"""A finding enters the record: said again, said otherwise, or said of the same in other words."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.model import Finding
from dictate.resolve import corrections, questions
from dictate.resolve.context import Entry
from dictate.resolve.fit import both_true

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: A sign is there, or it is not.
SIGN = ("present", "absent")


def enter(
    resolver: Resolver, finding: Finding, labels: frozenset[str], link: str, taken: list[Entry]
) -> None:
    """Put a finding in the record; a second, different value becomes a conflict.

    Args:
        resolver: The narration so far.
        finding: What was found.
        labels: Words that tell kinds of one finding apart.
        link: How its statement goes on from the one before it.
        taken: What the same sentence gave before it.
    """
    key = (finding.test, finding.site, finding.side)
    now = len(resolver.utterances)
    if _open_to(resolver, key):
        return  # which of the two holds is asked already
    if finding.side is None and (sided := _of_sides(finding, taken)):
        for entry in sided:  # "both discs are sharp, without papilloedema"
            entry.finding = replace(entry.finding, said=entry.also_said(finding.said))
        return
    for entry in resolver.entries:
        if (entry.finding.test, entry.finding.site, entry.finding.side) != key:
            continue
        if entry.finding.value == finding.value and (entry.labels == labels or not labels):
            said = entry.also_said(finding.said)
            detail = tuple(dict.fromkeys([*entry.finding.detail, *finding.detail]))
            entry.finding = replace(entry.finding, said=said, detail=detail)
            return
        if entry.labels != labels or (link == "rest" and entry.finding.detail):
            continue  # another kind of it; "three for abduction, the remainder five"
        graded = _graded(resolver, entry, finding) if entry.utterance == now else None
        if graded is not None:
            entry.finding = graded
            return
        signs = {entry.finding.value, finding.value} == set(SIGN)
        if link in {"except", "but"} and entry in taken and not (signs and link == "but"):
            if entry.finding.normal is False and finding.normal:
                return  # "circumstantial but logical": what is abnormal stays
            resolver.entries.remove(entry)
            break
        if entry.utterance == now and _both_true(resolver, entry, finding, taken):
            continue
        if entry not in taken and resolver.mends.replaces(resolver.grammar, entry.finding):
            corrections.remove(resolver, entry, "corrected")
            break
        corrections.remove(resolver, entry, "questioned")
        resolver.open_question(questions.conflict(resolver.grammar, entry.finding, finding))
        return
    if link not in {"except", "but", "rest"} and (other := _against(resolver, finding, labels)):
        for entry in other:
            corrections.remove(resolver, entry, "questioned")
        resolver.open_question(
            questions.conflict(resolver.grammar, other[0].finding, finding)
            if len(other) == 1
            else questions.conflicts(resolver.grammar, [e.finding for e in other], finding)
        )
        return
    entry = Entry(finding, resolver.statement, now, labels)
    resolver.entries.append(entry)
    _extend_run(resolver, entry)


def _open_to(resolver: Resolver, key: tuple[str, str | None, str | None]) -> bool:
    """A question is open about two values of the same."""
    return any(
        (f.test, f.site, f.side) == key
        for pending in resolver.pending
        if pending.question.kind == "conflict"
        for choice in pending.question.choices
        for f in choice.findings
    )


def _against(resolver: Resolver, finding: Finding, labels: frozenset[str]) -> list[Entry]:
    """ "Left drift", and in a later utterance "no drift": one of the two cannot be so."""
    now = len(resolver.utterances)

    def opposed(old: Finding) -> bool:
        if (old.test, old.site) != (finding.test, finding.site) or old.detail or finding.detail:
            return False
        one, other = (old, finding) if old.side is None else (finding, old)
        return one.side is None and other.side is not None and _gone(one) and not _gone(other)

    def _gone(one: Finding) -> bool:
        return one.normal is True or one.value == SIGN[1]

    return [
        entry
        for entry in resolver.entries
        if entry.utterance != now and not (labels or entry.labels) and opposed(entry.finding)
    ]


def _graded(resolver: Resolver, entry: Entry, finding: Finding) -> Finding | None:
    """ "Weak, four out of five": the grade, with the word beside it."""
    values = resolver.grammar.tests[finding.test].values
    for word, grade in ((entry.finding, finding), (finding, entry.finding)):
        beside = values[word.value].beside if word.value in values else ()
        if grade.value in beside:
            detail = tuple(dict.fromkeys([*word.detail, word.value, *grade.detail]))
            return replace(grade, said=entry.also_said(finding.said), detail=detail)
    return None


def _of_sides(finding: Finding, taken: list[Entry]) -> list[Entry]:
    """What the same sentence found of both sides, where a finding without a side says it again."""
    same = [
        e
        for e in taken
        if (e.finding.test, e.finding.site, e.finding.value)
        == (finding.test, finding.site, finding.value)
    ]
    return same if {e.finding.side for e in same} >= {"right", "left"} else []


def _both_true(resolver: Resolver, entry: Entry, finding: Finding, taken: list[Entry]) -> bool:
    """Two words of one statement are both true."""
    together = entry in taken or entry.statement == resolver.statement
    values = {entry.finding.value, finding.value}
    return both_true(resolver.grammar, finding.test, values, together)


def _extend_run(resolver: Resolver, entry: Entry) -> None:
    """The last run: findings of one side, back to where the side or the section changed."""
    last = resolver.run[-1].finding if resolver.run else None
    section = resolver.grammar.area_of(entry.finding.test).area
    if last is not None and entry.finding.side is not None:
        other_section = resolver.grammar.area_of(last.test).area != section
        paired = resolver.run and resolver.run[-1].statement == entry.statement
        if (last.side != entry.finding.side and not paired) or other_section:
            resolver.run = []
    if entry.finding.side is not None:
        resolver.run.append(entry)
