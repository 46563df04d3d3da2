"""The last run of findings again, on the other side."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement
from dictate.model import OTHER_SIDE, Finding, Side, UtteranceKind
from dictate.resolve.context import Entry, Hold
from dictate.resolve.draft import Draft
from dictate.resolve.fit import takes
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def is_repeat(sentence: Sentence, st: Statement) -> bool:
    """ "Same on the other side", "left is the same", "and on the left"."""
    if st.link in {"except", "but"} or st.values or st.not_done or st.denied:
        return False
    if st.repeat:
        return not st.targets
    opens = (bool(sentence.row) and sentence.row[0].kind in {"and"}) or any(
        item.others & {"also"} for item in sentence.row[:3]
    )
    first = sentence.statements and sentence.statements[0] is st
    lone = st.lone_side and not (st.sections or st.unknown)
    return bool(lone and (st.side == "other" or (opens if first else st.link == "and")))


def repeat(
    resolver: Resolver,
    reading: Reading,
    sentence: Sentence,
    st: Statement,
    excepted: list[Statement],
) -> UtteranceKind:
    """Say the last run again for the side named, without what the exceptions name."""
    run = [entry for entry in resolver.run if entry in resolver.entries]
    sides = {entry.finding.side for entry in run}
    wanted: Side | None = st.side if st.side in ("right", "left") else None  # type: ignore[assignment]
    if wanted is None and len(sides) == 1:
        wanted = OTHER_SIDE.get(sides.pop() or "")
    if not run or (wanted is None and len(sides) != 2):
        resolver.ask_referent(reading, st)
        resolver.holds.side = None
        return "finding"
    if wanted is None:
        return "command"
    source = [entry for entry in run if entry.finding.side != wanted]
    spoken = tuple(place(reading, span) for span in st.spans) or (
        place(reading, (sentence.start, sentence.end)),
    )
    skip = _sites(excepted)
    resolver.run = []
    for entry in source:
        if entry.finding.site in skip:
            continue
        finding = replace(entry.finding, side=wanted, said=(*entry.finding.said, *spoken))
        resolver.add(reading, finding, entry.labels, "start", [])
    resolver.holds.item_side = Hold(wanted, spoken[0])
    if source:
        resolver.holds.item_test = Hold(source[-1].finding.test, source[-1].finding.said[0])
    resolver.holds.side = None  # another side was spoken; for what follows it must be said
    return "finding"


def likewise(resolver: Resolver, reading: Reading, st: Statement) -> UtteranceKind | None:
    """ "Hamstrings likewise", "gait the same": what was found last, of what is named now.

    Returns:
        None where it is no such statement, or what it comes to is not plain.
    """
    bare = not (st.has_value or st.doubts or st.unknown or st.compared or st.rest)
    if not (st.repeat and st.targets and bare and resolver.entries):
        return None
    if all(target.on_limb and not target.tests for target in st.targets):
        return None  # "the left arm is the same": the run again, on the other side
    drafted = [_same_of(resolver, reading, st, old) for old in _last_found(resolver, st)]
    if not drafted or any(draft.asks or not draft.findings for draft in drafted):
        return None
    again = {row: f for draft in drafted for f in draft.findings if (row := _row(f))}
    labels = {_row(f): la for d in drafted for f, la in zip(d.findings, d.labels, strict=True)}
    taken: list[Entry] = []
    for row, finding in again.items():
        resolver.add(reading, finding, labels[row], "start", taken)
    return "finding"


def _row(finding: Finding) -> tuple[str | None, ...]:
    return finding.test, finding.site, finding.side, finding.value


def _last_found(resolver: Resolver, st: Statement) -> list[Finding]:
    """What was just found of one thing, on either side; of a test at every place, if it is a test
    without a place that is named now."""
    last = resolver.entries[-1].finding
    now = len(resolver.utterances)
    near = [e.finding for e in resolver.entries if e.utterance >= now - 1]
    placed = any(target.sites for target in st.targets)
    return [f for f in near if f.test == last.test and (not placed or f.site == last.site)]


def _same_of(resolver: Resolver, reading: Reading, st: Statement, old: Finding) -> Draft:
    """The statement with the value of a finding, and its side and place where it says none."""
    given = {"value": old.value, "test": old.test}
    sided = st.side or any(target.side for target in st.targets)
    if old.side and not sided:
        given["side"] = old.side
    if old.site and not any(target.sites for target in st.targets):
        given["site"] = old.site
    draft = resolver.drafter.draft(reading, replace(st, repeat=False), resolver.holds, given)
    grammar = resolver.grammar
    draft.keep(lambda f: takes(grammar, f.test, f.value))
    draft.findings = [replace(f, said=(*f.said, *old.said)) for f in draft.findings]
    return draft


def _sites(excepted: list[Statement]) -> set[str]:
    return {term.id for st in excepted for target in st.targets for term in target.sites}
