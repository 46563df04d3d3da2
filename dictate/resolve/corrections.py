"""Corrections: what they take out stays in the history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.grammar.names import WHOLE
from dictate.interpret.lexicon import Reading as Sense
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Statement
from dictate.model import OTHER_SIDE, Change, Finding, UtteranceKind
from dictate.resolve import amends, questions
from dictate.resolve.context import Entry, Pending
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit, is_normal
from dictate.resolve.mending import in_short, of_another
from dictate.resolve.places import place, place_at
from dictate.resolve.several import how_many, last_of, said_once

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def take_back(resolver: Resolver, reading: Reading, words: str = "") -> UtteranceKind:
    """Remove the last statement, or as many as the words say: findings and questions.

    Args:
        resolver: The narration.
        reading: The utterance.
        words: Those that take back, as the lexicon found them.
    """
    many = how_many(resolver.grammar, words)
    if many is None:
        last = max((entry.utterance for entry in resolver.entries), default=-1)
        row = [entry for entry in resolver.entries if entry.utterance == last]
        amends.doubt(resolver, reading, place(reading, (0, len(reading.tokens))), row)
        return "finding"
    said = [e.statement for e in resolver.entries] + [p.number for p in resolver.pending]
    gone = last_of(said, many)
    for entry in [e for e in resolver.entries if e.statement in gone]:
        remove(resolver, entry, "taken_back")
    for pending in [p for p in resolver.pending if p.number in gone]:
        resolver.pending.remove(pending)
        resolver.history.append(Change("taken_back", resolver.hearing, question=pending.question))
    return "command"


def remove(resolver: Resolver, entry: Entry, why: str) -> None:
    """Take one finding out of the record and into the history."""
    resolver.entries.remove(entry)
    resolver.run = [e for e in resolver.run if e is not entry]
    resolver.history.append(Change(why, resolver.hearing, entry.finding))  # type: ignore[arg-type]


def _last_statement(resolver: Resolver) -> int:
    """The number of the last spoken statement; what was done by hand has a negative one."""
    numbers = [e.statement for e in resolver.entries] + [p.number for p in resolver.pending]
    return max((number for number in numbers if number >= 0), default=-1)


def last_entries(resolver: Resolver) -> list[Entry]:
    """The findings of the last statement; none where it was asked about."""
    last = _last_statement(resolver)
    return [entry for entry in resolver.entries if entry.statement == last]


def correct(
    resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement
) -> UtteranceKind | None:
    """Replace what a correction names: a value, a side, or a whole statement."""
    resolver.mending = resolver.mending or st.link == "replace"
    if st.empty:
        return "finding" if _ask_anew(resolver, reading, sentence, st) else "command"
    if st.link == "take_back":
        last = _last_statement(resolver)
        if st.targets and st.has_value and of_another(resolver, st, last):
            return _restate(resolver, reading, st)
        if st.targets:
            words = next((x.text for x in sentence.row if x.kind == "take_back"), "")
            take_back(resolver, reading, words)
            st.link = "start"
            resolver._state(reading, sentence, st, [])
            return "finding"
        return _revalue(resolver, reading, st, last)
    if not st.targets:
        named = amends.named_before(resolver, sentence) or _that_had(resolver, sentence)
        last = named[-1].statement if named else _last_statement(resolver)
        return _revalue(resolver, reading, st, last, named)
    return _restate(resolver, reading, st)


#: More words that nobody knows than this, and it is talk ("sorry, the nurse is at the door").
_MOST_STRANGE = 1


def _ask_anew(resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement) -> bool:
    """ "Make that plastic": corrected right after it was said, and nobody knows into what."""
    strange = sum(end - start for start, end in st.unknown)
    words = sum(item.kind in {"unknown", "glue", "place"} for item in sentence.row)
    telling = words > strange + _MOST_STRANGE  # "sorry, the nurse is at the door"
    if st.talk or st.link != "replace" or not 0 < strange <= _MOST_STRANGE or telling:
        return False
    last = _last_statement(resolver)
    before = len(resolver.utterances) - 1
    fresh = [e for e in resolver.entries if e.statement == last and e.utterance >= before]
    for entry in fresh:
        ask_again(resolver, reading, st, entry)
    return bool(fresh)


def ask_again(resolver: Resolver, reading: Reading, st: Statement, entry: Entry) -> None:
    """A finding that was corrected into nothing known goes back to a question."""
    remove(resolver, entry, "corrected")
    about = (*entry.finding.said, *_places(reading, st))
    resolver.open_question(questions.again(resolver.grammar, entry.finding, about), reading)


def _revalue(
    resolver: Resolver, reading: Reading, st: Statement, last: int, named: Sequence[Entry] = ()
) -> UtteranceKind | None:
    """The last statement with another value or side ("no, make that four plus")."""
    pending = next((p for p in reversed(resolver.pending) if p.number == last), None)
    if pending is not None and pending.statement is not None:
        return _reask(resolver, reading, st, pending)
    entries = list(named) or [e for e in resolver.entries if e.statement == last]
    if not entries:
        resolver.ask_referent(reading, st)
        return "finding"
    entries = [e for e in entries if e.finding.test == entries[-1].finding.test]
    entries = _that_fit(resolver, st, entries)
    if st.has_value:
        entries = _of_its_side(resolver, st, entries) or entries
        done = _new_values(resolver, reading, st, entries)
        return "finding" if done else None
    if st.side in ("right", "left", "other"):
        _new_side(resolver, reading, st, entries)
    return "command"


def _that_had(resolver: Resolver, sentence: Sentence) -> list[Entry]:
    """ "Four, not three plus": the one of the last utterance that had the second value."""
    wrong = next((x.instead_of for x in sentence.row if x.instead_of is not None), None)
    if wrong is None:
        return []
    said = Said(grade=wrong[0], readings=wrong[1])
    last = max((e.utterance for e in resolver.entries), default=-1)
    had = [
        e
        for e in resolver.entries
        if e.utterance == last
        and (f := fit(resolver.grammar, e.finding.test, said)) is not None
        and f.value == e.finding.value
    ]
    return [e for e in had if e.statement == had[-1].statement]


def _that_fit(resolver: Resolver, st: Statement, entries: list[Entry]) -> list[Entry]:
    """ "Eye movements full, nystagmus present. Sorry, restricted": the one that takes the word."""

    def fits(entry: Entry) -> bool:
        test = entry.finding.test
        return any((f := fit(resolver.grammar, test, s)) and not f.misfit for s in st.values)

    if not st.values or any(fits(entry) for entry in entries):
        return entries
    last = max(e.utterance for e in entries)
    others = [e for e in resolver.entries if e.utterance == last and fits(e)]
    return others if len({e.finding.test for e in others}) == 1 else entries


def _of_its_side(resolver: Resolver, st: Statement, entries: list[Entry]) -> list[Entry]:
    """ "Right deltoid four, left five; no, right is five": the finding that stands of that side."""
    sites = {(e.finding.test, e.finding.site) for e in entries}
    return [
        e
        for e in resolver.entries
        if e.finding.side == st.side in ("right", "left")
        and (e.finding.test, e.finding.site) in sites
    ]


def goes_on(resolver: Resolver, st: Statement, earlier: list[Statement]) -> bool:
    """ "No, left is down, right is up": the other side is corrected as well, where it was found.

    So is another site, where it was found: "sorry, deltoid four, biceps five".
    """
    if not earlier or st.link not in {"comma", "and", "start"} or not st.values:
        return False
    if st.unknown or st.doubts or st.rest:
        return False
    if st.targets:
        found = {e.finding.site for e in resolver.entries if e.finding.side}
        sided = st.side or any(t.side or t.both for t in st.targets)
        named = all(any(r.id in found for r in t.sites) for t in st.targets)
        return resolver.mending and named and not sided
    if earlier[-1].link not in {"replace", "take_back"}:
        return False
    last = _last_statement(resolver)
    entries = [e for e in resolver.entries if e.statement == last]
    return bool(_of_its_side(resolver, st, entries))


def _new_values(resolver: Resolver, reading: Reading, st: Statement, entries: list[Entry]) -> bool:
    changed = False
    meant = [e for e in entries if any(fit(resolver.grammar, e.finding.test, s) for s in st.values)]
    for entry in meant or entries:
        old = entry.finding
        found = next(
            (f for s in st.values if (f := fit(resolver.grammar, old.test, s)) is not None), None
        )
        value = found.value if found is not None and not found.misfit else None
        if value is None and st.denied:
            value = resolver.grammar.tests[old.test].denied
        if value is None:
            ask_again(resolver, reading, st, entry)
            changed = True
            continue
        side = old.side
        if st.side in ("right", "left") and len(entries) == 1:
            side = st.side  # type: ignore[assignment]
        elif st.side in ("right", "left") and old.side != st.side:
            continue
        said = (*old.said, *_places(reading, st))
        index = resolver.entries.index(entry)
        resolver.history.append(Change("corrected", resolver.hearing, old))
        normal = is_normal(resolver.grammar, old.test, value)
        resolver.entries[index].finding = replace(
            old, side=side, value=value, normal=normal, said=said
        )
        changed = True
    return changed


def _with_one_side(resolver: Resolver, entries: list[Entry]) -> list[Entry]:
    """ "Left deltoid four, biceps three": one "left" for both, and so is the right one."""
    last = entries[-1]
    row = [e for e in resolver.entries if e.utterance == last.utterance and e.finding.side]
    now = last.utterance == len(resolver.utterances)
    end = max(p.end for p in last.finding.said)
    text = resolver.text[:end] if now else resolver.utterances[last.utterance].text
    once = said_once(resolver.grammar, text)
    alike = {e.finding.side for e in row} == {last.finding.side}
    return row if once and alike and last in row else entries


def _new_side(resolver: Resolver, reading: Reading, st: Statement, entries: list[Entry]) -> None:
    both = len({e.finding.side for e in entries}) == 2
    if not both:
        entries = _with_one_side(resolver, entries)
    for entry in entries:
        old = entry.finding
        if old.side is None:
            continue
        side = st.side if st.side != "other" else OTHER_SIDE[old.side]
        if both and old.side != side:
            remove(resolver, entry, "corrected")
            continue
        resolver.history.append(Change("corrected", resolver.hearing, old))
        entry.finding = replace(old, side=side, said=(*old.said, *_places(reading, st)))  # type: ignore[arg-type]
    held = resolver.holds.side
    if held is not None and st.side in ("right", "left"):
        from dictate.resolve.context import Hold

        resolver.holds.side = Hold(st.side, _places(reading, st)[0])


def _reask(
    resolver: Resolver, reading: Reading, st: Statement, pending: Pending
) -> UtteranceKind | None:
    """The last statement was a question; the correction answers or restates it."""
    old = pending.statement
    assert old is not None
    resolver.pending.remove(pending)
    resolver.history.append(Change("corrected", resolver.hearing, question=pending.question))
    values = [replace(v, spans=[]) for v in st.values] or old.values
    merged = replace(old, values=values, side=st.side or old.side, doubts=[])
    if st.not_done:
        merged = replace(
            merged, values=[], not_done=st.not_done, denied=False, unclear=False, unknown=[]
        )
    if st.side:
        merged.targets = [replace(t, side=None) for t in old.targets]
    first: Reading = pending.reading  # type: ignore[assignment]
    draft = resolver.drafter.draft(first, merged, pending.holds)
    extra = _places(reading, st)
    for finding, labels in zip(draft.findings, draft.labels, strict=True):
        resolver.add(reading, replace(finding, said=(*finding.said, *extra)), labels, "start", [])
    if draft.ask is not None:
        resolver.ask(first, merged, draft, draft.ask)
    return "finding"


def _restate(resolver: Resolver, reading: Reading, st: Statement) -> UtteranceKind | None:
    """A correction that names its target reaches back to the last finding of that target."""
    if not _says_something(st):
        last = _last_statement(resolver)
        entries = [e for e in resolver.entries if e.statement == last]
        return _new_target(resolver, reading, st, entries)
    if in_short(resolver, reading, st):
        return _revalue(resolver, reading, replace(st, targets=[]), _last_statement(resolver))
    holds = resolver.holds.copy()
    draft = resolver.drafter.draft(reading, st, holds)
    if _unplaced(resolver, st, draft):
        narrowed = _in_place(resolver, reading, st, draft)
        if narrowed is None:
            resolver.ask_referent(reading, st)
            return "finding"
        draft = narrowed
    kinds = {kind for kind, _ in draft.asks}
    if kinds <= {"side", "test"} and kinds:
        draft = _borrow(resolver, reading, st, draft) or draft
    targets = {(f.test, f.site) for f in draft.findings}
    known = any((e.finding.test, e.finding.site) in targets for e in resolver.entries)
    here = [e for e in resolver.entries if e.statement == _last_statement(resolver)]
    other = targets and not known and not st.denied  # "two plus, no, no clonus" takes nothing back
    if other and here and here[0].utterance == len(resolver.utterances):
        for entry in here:
            remove(resolver, entry, "corrected")  # "deltoid four, no, biceps four"
    for finding in draft.findings:
        named = any(t.side for t in st.targets) or st.side
        same = [
            e
            for e in resolver.entries
            if (e.finding.test, e.finding.site) == (finding.test, finding.site)
        ]
        exact = [e for e in same if e.finding.side == finding.side]
        for entry in (exact or (same[-1:] if named else same))[-2:]:
            if entry.finding.side == finding.side or not exact:
                remove(resolver, entry, "corrected")
        _drop_questions(resolver, finding)
    st.link = "start"
    if st.side or any(target.side for target in st.targets):
        resolver.holds.side = None
    for finding, labels in zip(draft.findings, draft.labels, strict=True):
        resolver.add(reading, finding, labels, "start", [])
    if draft.ask is not None:
        resolver.ask(reading, st, draft, draft.ask)
    return "finding" if draft.findings or draft.asks else None


def _unplaced(resolver: Resolver, st: Statement, draft: Draft) -> bool:
    """ "No, tone normal": no place was said, and what it corrects was found at one."""
    placed = st.side or any(target.side or target.sites for target in st.targets)
    whole = bool(draft.findings) and all(
        f.side is None and f.site in (None, WHOLE) for f in draft.findings
    )
    at_place = {e.finding.test for e in resolver.entries if e.finding.side or e.finding.site}
    named = {f.test for f in draft.findings} & at_place
    return bool(not placed and whole and len({f.test for f in draft.findings}) == 1 and named)


def _in_place(resolver: Resolver, reading: Reading, st: Statement, draft: Draft) -> Draft | None:
    """A correction that says no place is of the place last found; None where that is several."""
    test = draft.findings[0].test
    last = max(e.statement for e in resolver.entries if e.finding.test == test)
    old = [e.finding for e in resolver.entries if e.statement == last and e.finding.test == test]
    if len({f.site for f in old}) > 1:
        return None
    given = {"test": test}
    if old[0].site:
        given["site"] = old[0].site
    sides = {f.side for f in old if f.side}
    if sides:
        given["side"] = "both" if len(sides) == 2 else next(iter(sides))
    return resolver.drafter.draft(reading, st, resolver.holds, given)


def _says_something(st: Statement) -> bool:
    """A value was said, or a sign was named, which says one."""
    named = any(reading.id for target in st.targets for reading in target.tests)
    return st.has_value or named


def _borrow(resolver: Resolver, reading: Reading, st: Statement, draft):  # type: ignore[no-untyped-def]
    """Side and test that the correction leaves out are those of the finding it corrects."""
    sites = {term.id for target in st.targets for term in target.sites}
    for entry in reversed(resolver.entries):
        old = entry.finding
        if (old.site in sites) if sites else (old.test in draft.tests):
            given = {"test": old.test}
            if old.side and not st.side and not any(t.side for t in st.targets):
                twin = [
                    e
                    for e in resolver.entries
                    if e.statement == entry.statement
                    and e.finding.site == old.site
                    and e.finding.test == old.test
                ]
                given["side"] = "both" if len({e.finding.side for e in twin}) == 2 else old.side
            return resolver.drafter.draft(reading, st, resolver.holds, given)
    return None


def _new_target(
    resolver: Resolver, reading: Reading, st: Statement, entries: list[Entry]
) -> UtteranceKind | None:
    """ "No, triceps": the last finding was meant for another site."""
    if not entries:
        resolver.ask_referent(reading, st)
        return "finding"
    side = next((t.side for t in st.targets if t.side), st.side)
    side = side if side in OTHER_SIDE else None
    meant: list[Finding] = []
    for entry in entries:
        term = _site_named(resolver, st, entry.finding)
        if term is None and side is None:
            return None
        meant.append(_moved(entry.finding, term, side))
    if len({(f.test, f.site, f.side) for f in meant}) < len(meant):
        wrong = [e for e in entries if e.finding.side == side] if side else []
        all_of_it = place_at(reading.utterance, 0, len(reading.utterance.text))
        # "No clonus at either ankle." "Sorry, the right ankle has a few beats": what was found of
        # two parts, and is called wrong of one, is not found of that one twice
        amends.doubt(resolver, reading, all_of_it, wrong or entries)
        return "finding"
    for entry, finding in zip(entries, meant, strict=True):
        resolver.history.append(Change("corrected", resolver.hearing, entry.finding))
        entry.finding = replace(finding, said=(*finding.said, *_places(reading, st)))
    return "command"


def _site_named(resolver: Resolver, st: Statement, old: Finding) -> Sense | None:
    """The site that a statement names, as one of the test that was found."""
    sites = resolver.grammar.sites_of(old.test)
    group = resolver.grammar.tests[old.test].sites
    named = (t for target in st.targets for t in target.sites)
    return next(
        (t for t in named if t.id in sites and (t.group == group or t.test == old.test)), None
    )


def _moved(old: Finding, term: Sense | None, side: str | None) -> Finding:
    site = {} if term is None else {"site": term.id, "site_said": term.kept or None}
    return replace(old, **site, **({} if side is None else {"side": side}))  # type: ignore[arg-type]


def _drop_questions(resolver: Resolver, finding) -> None:  # type: ignore[no-untyped-def]
    """A question about the same target is settled by the correction."""
    for pending in list(resolver.pending):
        offered = [f for choice in pending.question.choices for f in choice.findings]
        same = any(
            (f.test, f.site, f.side) == (finding.test, finding.site, finding.side) for f in offered
        )
        if same and pending.question.kind in {"conflict", "value", "scale", "heard"}:
            resolver.pending.remove(pending)
            resolver.history.append(
                Change("corrected", resolver.hearing, question=pending.question)
            )


def _places(reading: Reading, st: Statement):  # type: ignore[no-untyped-def]
    spans = (
        [s for v in st.values for s in v.spans]
        + [s for t in st.targets for s in t.spans]
        + st.spans
    )
    return tuple(place(reading, span) for span in sorted(set(spans)))
