"""A name that waits for its value: what is said right after it completes it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement
from dictate.resolve.context import Pending
from dictate.resolve.draft import Draft
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def waits_on(sentence: Sentence, pending: Pending | None) -> bool:
    """ "Plantar responses.": nothing but a name, so that the next sentence says what was found.

    Args:
        sentence: The sentence just read.
        pending: The question that it left open.
    """
    st = pending.statement if pending is not None else None
    return st is not None and sentence.statements == [st] and _only_name(st)


def at_place(pending: Pending | None) -> bool:
    """ "Right biceps." "Power five.": the place may be that of the next sentence, or have another
    value to come."""
    st = pending.statement if pending is not None else None
    if pending is None or st is None or not (_only_name(st) and st.targets[0].sites):
        return False
    reading: Reading = pending.reading  # type: ignore[assignment]
    named = sum(end - start for start, end in st.targets[0].spans)
    return sum(token.norm.isalnum() for token in reading.tokens) == named


def _only_name(st: Statement) -> bool:
    """One target, and nothing at all said of it."""
    said = st.side or st.details or st.unknown or st.doubts or st.talk or st.compared
    return len(st.targets) == 1 and not (st.has_value or said or st.not_done)


def fill(resolver: Resolver, reading: Reading, st: Statement, waited: Pending) -> bool:
    """A value alone, right after a statement that lacked one, completes it.

    Where only a name was said ("Plantar responses."), more than one value may follow it.

    Args:
        resolver: The narration.
        reading: The utterance of the value.
        st: A statement with a value and no target.
        waited: The question about the value that was missing.

    Returns:
        True if findings came of it.
    """
    old = waited.statement
    if old is None or old.doubts or not st.values or st.unknown or st.rest:
        return False  # "does not understand" denies nothing that was named before
    named = _only_name(old) and resolver.weight.asks_back(waited.reading, old)  # type: ignore[arg-type]
    again = named and waited is resolver.filled
    if not (waited in resolver.pending or again):
        return False
    graded = any(value.grade is not None for value in st.values)
    if not (graded or old.hesitant or named):
        return False  # a bare "good" after talk is no value of what was named before
    draft = _across(resolver, reading, st, waited)
    if not draft.findings or draft.asks:
        return False
    if waited in resolver.pending:
        resolver.pending.remove(waited)
    resolver.filled = waited
    first: Reading = waited.reading  # type: ignore[assignment]
    for finding, labels in zip(draft.findings, draft.labels, strict=True):
        resolver.add(first, finding, labels, "start", [])
    return True


def _across(resolver: Resolver, second: Reading, st: Statement, waited: Pending) -> Draft:
    """Targets of one statement with the value of the next; each keeps its own places."""
    old: Statement = waited.statement  # type: ignore[assignment]
    first: Reading = waited.reading  # type: ignore[assignment]
    value_places = [place(second, span) for v in st.values for span in v.spans]
    value_places += [place(second, span) for span in st.spans]
    asked = replace(
        old,
        values=[replace(v, spans=[]) for v in st.values],
        denied=st.denied,
        side=st.side or old.side,
        labels=[],
    )
    if st.side:
        asked.targets = [replace(target, both=False, side=None) for target in old.targets]
    draft = resolver.drafter.draft(first, asked, waited.holds)
    draft.findings = [replace(f, said=(*f.said, *value_places)) for f in draft.findings]
    return draft
