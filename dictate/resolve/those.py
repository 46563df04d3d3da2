"""What is said of all that was just found, on the other side: "all of those are five on the left",
"the left is all normal"."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement, Target
from dictate.model import OTHER_SIDE, Finding, Side, UtteranceKind
from dictate.resolve.context import Entry
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit, is_normal
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def of_those(
    resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement
) -> UtteranceKind | None:
    """ "All these on the left are five": what was found of one side, with a value on the other.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: The sentence of the statement.
        st: The statement.

    Returns:
        None where it says nothing of the kind.
    """
    whole = next((item for item in sentence.row if item.kind == "whole_run"), None)
    plain = bool(st.values) and not (st.targets or st.denied or st.not_done or st.rest)
    if whole is None or not plain or st.side not in OTHER_SIDE or st.link in {"but", "except"}:
        return None
    spots, side = _spots(resolver, {*whole.text.split()} & {*resolver.grammar.sides.both}), st.side
    found = [_finding(resolver, spot, st) for spot in spots]
    loose = st.unknown or st.doubts or st.compared or len(st.values) > 1
    sides = {entry.finding.side for entry in _last_of_one_side(resolver)}
    if not spots or loose or side in sides or None in found:
        tests = [test for test, _ in spots[:1]]
        resolver.ask(reading, st, Draft(tests=tests), ("value" if spots else "referent", []))
        return "finding"
    spoken = tuple(place(reading, span) for span in st.spans) or (
        place(reading, (sentence.start, sentence.end)),
    )
    resolver.run = []
    for one in found:
        if one is not None:
            finding = replace(one, side=cast(Side, side), said=spoken)
            resolver.add(reading, finding, frozenset(), "start", [])
    return "finding"


def _spots(resolver: Resolver, both: set[str]) -> list[tuple[str, str | None]]:
    """The things that were found last on one side; the last two, where "both" is said."""
    run = _last_of_one_side(resolver)
    spots = list(dict.fromkeys((e.finding.test, e.finding.site) for e in run))
    return spots[-2:] if both and len(spots) > 1 else [] if both else spots


def _last_of_one_side(resolver: Resolver) -> list[Entry]:
    """The last findings of one side and section, whatever heading came after them."""
    run: list[Entry] = []
    for entry in reversed(resolver.entries):
        last = run[0].finding if run else entry.finding
        area = resolver.grammar.area_of
        if entry.finding.side != last.side or area(entry.finding.test) != area(last.test):
            break
        run.insert(0, entry)
    return run


def _finding(resolver: Resolver, spot: tuple[str, str | None], st: Statement) -> Finding | None:
    test, site = spot
    fits = fit(resolver.grammar, test, st.values[0])
    if fits is None or fits.value is None or fits.misfit:
        return None
    normal = is_normal(resolver.grammar, test, fits.value)
    return Finding(test, site, None, fits.value, (), normal, (), None)


def all_of_side(resolver: Resolver, st: Statement, last: Statement | None) -> None:
    """ "V1 reduced on the right, V2 normal. The left is all normal.": the test, of that side.

    Args:
        resolver: The narration so far.
        st: A side and a word that is said of all of it; it gets the test.
        last: The last statement of the utterance that named something.
    """
    words = bool(st.values) and all(value.grade is None for value in st.values)
    bare = not (st.unknown or st.rest or st.doubts or st.part or st.denied)
    if not (st.every and words and bare and st.side in OTHER_SIDE and last is not None):
        return
    if st.targets and not st.copied:
        return
    now = len(resolver.utterances)
    near = [e.finding for e in resolver.entries if e.utterance == now]
    near = [f for f in near if near and f.test == near[-1].test]
    sides = {finding.side for finding in near}
    test = near[-1].test if near else ""
    sited = bool(test) and any(f.site not in (None, "all") for f in near)
    if not sited or st.side in sides or OTHER_SIDE[st.side or ""] not in sides:
        return
    if all(resolver.fits(test, value) for value in st.values):
        spans = [*(st.spans or st.values[0].spans)]
        st.targets, st.copied = [Target(tests=[Term("test", test=test)], spans=spans)], False
