"""The last run of findings again, on the other side."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement, Target
from dictate.model import OTHER_SIDE, Finding, Side, UtteranceKind
from dictate.resolve.context import Entry, Hold
from dictate.resolve.draft import Draft
from dictate.resolve.fit import takes
from dictate.resolve.partly import partly_asked
from dictate.resolve.places import place
from dictate.resolve.too import just_found, says_too, within

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def is_repeat(resolver: Resolver, sentence: Sentence, st: Statement) -> bool:
    """ "Same on the other side", "left is the same", "and on the left", "left arm the same"."""
    if st.link in {"except", "but"} or st.values or st.not_done or st.denied:
        return False
    if st.repeat:
        return not st.targets or _of_limb(resolver, st)
    opens = (bool(sentence.row) and sentence.row[0].kind in {"and"}) or any(
        item.others & {"also"} for item in sentence.row[:3]
    )
    first = sentence.statements and sentence.statements[0] is st
    lone = st.lone_side and not (st.sections or st.unknown)
    return bool(lone and (st.side == "other" or (opens if first else st.link == "and")))


def _of_limb(resolver: Resolver, st: Statement) -> bool:
    """A limb with its side, and the last run was of the parts of the other one."""
    limbs = {r.id for target in st.targets for r in target.sites if r.group == "limb"}
    plain = not (st.unknown or st.doubts or st.rest or any(t.tests or t.signs for t in st.targets))
    run = [entry for entry in resolver.run if entry in resolver.entries]
    inside = all(within(resolver.grammar, entry, limbs) for entry in run)
    return bool(run and limbs) and plain and inside and _one_side(st) is not None


def _one_side(st: Statement) -> Side | None:
    """The side that was said, of all of it or of what it names."""
    said = {st.side, *(target.side for target in st.targets)} - {None}
    side = said.pop() if len(said) == 1 else None
    return side if side in OTHER_SIDE else None  # type: ignore[return-value]


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
    wanted = _one_side(st)
    if wanted is None and len(sides) == 1:
        wanted = OTHER_SIDE.get(sides.pop() or "")
    told = [e for e in excepted if e.link == "but" and e.values and (e.copied or not e.targets)]
    for one in told:
        one.values = []  # "the same, but only reduced": which is it?
    asked = [pending.question for pending in resolver.pending]
    if run and (st.doubts or told or partly_asked((e.finding for e in run), asked)):
        tests = list(dict.fromkeys(entry.finding.test for entry in run))
        resolver.ask(reading, st, Draft(tests=tests), ("value", []))
        return "finding"  # "left the same, but less"
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


def likewise(
    resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement, earlier: list[Entry]
) -> UtteranceKind | None:
    """ "Hamstrings likewise", "the leg too": what was found last, of what is named now.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: The sentence of the statement.
        st: The statement.
        earlier: What the sentence gave before it.

    Returns:
        None where it is no such statement, or what it comes to is not plain.
    """
    bare = not (st.has_value or st.doubts or st.unknown or st.compared or st.rest)
    so_too = resolver.grammar.classes.get("so_too", ())
    too = bare and says_too(sentence, st, so_too)
    if not ((st.repeat or too) and st.targets and bare and resolver.entries):
        return None
    limbs = all(target.on_limb and not target.tests for target in st.targets)
    if limbs and not too:
        return None  # "the left arm is the same": the run again, on the other side
    named = any(target.tests for target in st.targets)
    last = just_found(resolver, earlier) if too else _last_found(resolver, st)
    pair = {entry.finding.side for entry in last} >= {"right", "left"}
    drafted = [_same_of(resolver, reading, st, entry.finding, pair) for entry in last]
    if not drafted or any(draft.asks or not draft.findings for draft in drafted):
        near = earlier or resolver.last_taken
        body = any(r.group in resolver.grammar.groups for t in st.targets for r in t.sites)
        if (
            not too
            or named
            or not (near and body)
            or near[-1].utterance < len(resolver.utterances) - 1
        ):
            return None
        tests = list(dict.fromkeys(entry.finding.test for entry in near))
        resolver.ask(reading, st, Draft(tests=tests), ("value", []))
        return "finding"
    asked = [pending.question for pending in resolver.pending]
    less = named and _qualified(sentence, st)
    if less or (named and partly_asked((entry.finding for entry in last), asked)):
        tests = list(dict.fromkeys(f.test for draft in drafted for f in draft.findings))
        resolver.ask(reading, st, Draft(tests=tests), ("value", []))
        return "finding"
    again = {row: f for draft in drafted for f in draft.findings if (row := _row(f))}
    labels = {_row(f): la for d in drafted for f, la in zip(d.findings, d.labels, strict=True)}
    taken: list[Entry] = []
    for row, finding in again.items():
        resolver.add(reading, finding, labels[row], "start", taken)
    return "finding"


def _row(finding: Finding) -> tuple[str | None, ...]:
    return finding.test, finding.site, finding.side, finding.value


def _qualified(sentence: Sentence, st: Statement) -> bool:
    """ "Pin the same, but up to the knees": what follows changes what is the same."""
    later = sentence.statements[sentence.statements.index(st) + 1 :]
    return bool(later) and later[0].link == "but" and not later[0].has_value


def _last_found(resolver: Resolver, st: Statement) -> list[Entry]:
    """What was just found of one thing, on either side; of a test at every place, if it is a test
    without a place that is named now."""
    last = resolver.entries[-1].finding
    now = len(resolver.utterances)
    near = [e for e in resolver.entries if e.utterance >= now - 1 and e.finding.test == last.test]
    placed = any(target.sites for target in st.targets)
    return [e for e in near if not placed or e.finding.site == last.site]


def _same_of(
    resolver: Resolver, reading: Reading, st: Statement, old: Finding, pair: bool
) -> Draft:
    """The statement with the value of a finding, and its side and place where it says none.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        st: The statement.
        old: The finding.
        pair: Both sides were found, so that a plural has the value of each.
    """
    given = {"value": old.value, "test": old.test}
    sided = st.side or any(
        target.side or (not pair and (target.both or _plural(target))) for target in st.targets
    )
    if old.side and not sided:
        given["side"] = old.side
    if old.site and not any(target.sites for target in st.targets):
        given["site"] = old.site
    draft = resolver.drafter.draft(reading, replace(st, repeat=False), resolver.holds, given)
    grammar = resolver.grammar
    named = any(target.tests for target in st.targets)
    draft.keep(lambda f: takes(grammar, f.test, f.value) and (named or f.test == old.test))
    if not draft.findings and not named and not grammar.sites_of(old.test):
        return _of_side(draft, st, old)
    draft.findings = [replace(f, said=(*f.said, *old.said)) for f in draft.findings]
    return draft


def _plural(target: Target) -> bool:
    return any(reading.plural for reading in target.sites)


def _of_side(draft: Draft, st: Statement, old: Finding) -> Draft:
    """A limb, of a test that has no places: its side ("no drift left, right arm too")."""
    side = _one_side(st)
    limb = all(target.on_limb for target in st.targets)
    if side is not None and limb and old.side:
        draft.asks, draft.findings = [], [replace(old, side=side)]
        draft.labels = [frozenset()]
    return draft


def _sites(excepted: list[Statement]) -> set[str]:
    return {term.id for st in excepted for target in st.targets for term in target.sites}
