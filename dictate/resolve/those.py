"""What is said of all that was just found, on the other side: "all of those are five on the left",
"the left is all normal"."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, cast

from dictate.grammar.load import Grammar
from dictate.grammar.names import WHOLE
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Span, Statement, Target
from dictate.interpret.tokens import norms
from dictate.model import OTHER_SIDE, Finding, Side, UtteranceKind
from dictate.resolve.context import Entry
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit, is_normal
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: Numbers of things that a sentence points back at ("the same four muscles").
_COUNTS = frozenset("23456789")


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
    if (
        not (st.values and resolver.entries)
        or st.not_done
        or st.rest
        or st.link in {"but", "except"}
    ):
        return None
    where = pointing(resolver.grammar, reading, sentence)
    if where is None:
        return None
    values = [v for v in st.values if not (v.spans and _within(v.spans[0], where))]
    targets = [t for t in st.targets if t.sites or not any(_within(s, where) for s in t.spans)]
    outside = [x for x in sentence.row if x.kind == "side" and not _within((x.start, x.end), where)]
    sides = {one.id for item in outside for one in item.of_kind("side")}
    both = "both" in sides
    sides.discard("both")
    side = sides.pop() if len(sides) == 1 else None
    if targets or not values or side not in OTHER_SIDE:
        return None
    run = _last_of_one_side(resolver)
    named = {r.test for t in st.targets for r in t.tests}
    run = [entry for entry in run if not named or entry.finding.test in named]
    number = 2 if both else _number(resolver, reading, where, st)
    now = [entry for entry in run if entry.utterance == len(resolver.utterances)]
    if not number and len({entry.finding.test for entry in run}) > 1:
        run = now or run  # "tone increased in the arm. Left ones normal."
    spots = list(dict.fromkeys((e.finding.test, e.finding.site) for e in run))
    spots = spots[-number:] if number else _taking(resolver, spots, values[0])
    found = [_finding(resolver, spot, values[0]) for spot in spots]
    if _of_other_things(resolver, run):
        spots = []
    unknown = [span for span in st.unknown if not _within(span, where)]
    loose = unknown or st.doubts or st.compared or st.denied or len(values) > 1
    short = bool(number) and len(spots) != number
    if not spots or loose or short or side in {e.finding.side for e in run} or None in found:
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


def _taking(
    resolver: Resolver, spots: list[tuple[str, str | None]], value: Said
) -> list[tuple[str, str | None]]:
    """Of things in the order they were found, the last that take the value; all if none does."""
    first = len(spots)
    while first and _finding(resolver, spots[first - 1], value) is not None:
        first -= 1
    return spots[first:] or spots


def _of_other_things(resolver: Resolver, run: list[Entry]) -> bool:
    """What was named last in this utterance is in question, so that it is not what was found."""
    last = resolver.named_last
    tests = {r.test for t in last.targets for r in (*t.tests, *t.signs)} if last else set()
    return bool(tests) and bool(run) and not tests & {entry.finding.test for entry in run}


def pointing(grammar: Grammar, reading: Reading, sentence: Sentence) -> Span | None:
    """The words that point at several things found before ("the same muscles", "they're all").

    Returns:
        Their tokens, or None where no such words are in the sentence.
    """
    whole = next((item for item in sentence.row if item.kind == "whole_run"), None)
    if whole is not None:
        return whole.start, whole.end
    words = reading.norms((sentence.start, sentence.end))
    forms, begins, nouns = _forms(grammar)
    numbers = {
        item.start
        for item in sentence.row
        if item.grade is not None and item.end == item.start + 1 and item.grade.number in _COUNTS
    }
    for at, word in enumerate(words):
        for form in forms.get(word, ()):
            if words[at : at + len(form)] == form:
                return sentence.start + at, sentence.start + at + len(form)
        start = next((n for n in (3, 2, 1) if words[at : at + n] in begins), 0)
        end = at + start
        counted = int(sentence.start + end in numbers)
        if start and words[end + counted : end + counted + 1] in nouns:
            return sentence.start + at, sentence.start + end + counted + 1
        if start and counted and words[end + 1 : end + 2] not in nouns:
            return sentence.start + at, sentence.start + end + 1
    return None


@lru_cache(maxsize=4)
def _forms(
    grammar: Grammar,
) -> tuple[
    dict[str, list[tuple[str, ...]]], frozenset[tuple[str, ...]], frozenset[tuple[str, ...]]
]:
    """Whole forms by their first word, the longest first; what others begin and end with."""
    classes = grammar.classes
    whole: dict[str, list[tuple[str, ...]]] = {}
    for name in ("those", "those_alone"):
        for form in sorted(map(norms, classes.get(name, ())), key=len, reverse=True):
            whole.setdefault(form[0], []).append(form)
    begins = frozenset(map(norms, classes.get("those_begin", ())))
    return whole, begins, frozenset(map(norms, classes.get("those_noun", ())))


def _within(span: Span, where: Span) -> bool:
    return where[0] <= span[0] and span[1] <= where[1]


def _number(resolver: Resolver, reading: Reading, where: Span, st: Statement) -> int:
    """How many things the words point at; 0 where they do not say."""
    if {*reading.norms(where)} & {*resolver.grammar.sides.both}:
        return 2
    said = [v.grade for v in st.values if v.spans and _within(v.spans[0], where) and v.grade]
    return int(said[0].number) if said and said[0].number.isdigit() else 0


def _last_of_one_side(resolver: Resolver) -> list[Entry]:
    """The last findings of one side and section, whatever heading came after them.

    Of utterances before the last one that found something, only those of the same test.
    """
    run: list[Entry] = []
    area = resolver.grammar.area_of
    for entry in reversed(resolver.entries):
        last = run[-1] if run else entry
        same = entry.finding.test == last.finding.test
        section = area(entry.finding.test) == area(last.finding.test)
        if entry.finding.side != last.finding.side or not section:
            break
        if entry.utterance != last.utterance and not same:
            break
        run.insert(0, entry)
    return run


def _finding(resolver: Resolver, spot: tuple[str, str | None], value: Said) -> Finding | None:
    test, site = spot
    fits = fit(resolver.grammar, test, value)
    if fits is None or fits.value is None or fits.misfit:
        return None
    normal = is_normal(resolver.grammar, test, fits.value)
    return Finding(test, site, None, fits.value, (), normal, (), None)


def of_whole_side(resolver: Resolver, reading: Reading, st: Statement) -> bool:
    """ "Reduced in the left arm, the left leg normal, right side normal": not of the leg alone.

    A form such as "right side" before its value, after several places of the other side.
    """
    if not (st.copied and st.values and st.spans and st.side in OTHER_SIDE):
        return False
    first = min(span for value in st.values for span in value.spans or [(0, 0)])
    forms = {f.lower() for f in getattr(resolver.grammar.sides, st.side) if " " in f}
    said = (span for span in st.spans if span < first)
    if not any(" ".join(reading.norms(span)) in forms for span in said):
        return False
    now = len(resolver.utterances)
    near = [e.finding for e in resolver.entries if e.utterance == now]
    near = [f for f in near if f.test == near[-1].test]
    if {f.side for f in near} != {OTHER_SIDE[st.side]}:
        return False
    own = {site for t in st.targets for r in t.sites for site in (r.sites or (r.id,))}
    return bool({f.site for f in near} - {None, "all"} - own)


def all_of_side(resolver: Resolver, st: Statement, last: Statement | None) -> None:
    """ "V1 reduced on the right, V2 normal. The left is all normal.": the test, of that side.

    Args:
        resolver: The narration so far.
        st: A side and a word that is said of all of it; it gets the test.
        last: The last statement of the utterance that named something.
    """
    graded = any(value.grade is not None for value in st.values)
    bare = bool(st.values) and not (st.unknown or st.rest or st.doubts or st.part or st.denied)
    if not (st.every and bare and st.side in OTHER_SIDE and last is not None):
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
        held = resolver.holds.item_site or resolver.holds.site
        found = {f.site for f in near if f.site and f.side == OTHER_SIDE[st.side or ""]}
        whole = whole_of(resolver.grammar, test, found, held.id if held else "") if graded else ()
        if whole is None:
            return
        spans = [*(st.spans or st.values[0].spans)]
        resolver.holds.item_site = None  # "LLE MAS 1+, right side normal": no limb holds
        where = Target(tests=[Term("test", test=test)], sites=[*whole], spans=spans)
        st.targets, st.copied = [where], False


def whole_of(
    grammar: Grammar, test: str, sites: Collection[str], limb: str
) -> tuple[Term, ...] | None:
    """What "all" is of, after some sites of a test: the limb that holds, or all of several limbs.

    Args:
        grammar: For the sites of the test, and what they are part of.
        test: The test.
        sites: Those that were named.
        limb: A limb that holds, or "".

    Returns:
        The site; None where they are of one limb and it may be these sites alone, or more.
    """
    rows, group = grammar.sites_of(test), grammar.tests[test].sites
    parts = [{site, *rows[site].part_of} for site in sites if site in rows]
    shared = set.intersection(*parts) if parts else {limb}
    if WHOLE not in rows or not isinstance(group, str) or (shared and limb not in shared):
        return None
    return (Term("site", limb if shared else WHOLE, "", group),)
