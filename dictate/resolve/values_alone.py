"""A value alone in a sentence, right after a finding: "Right grip four. Five."

It is said of the same, and nothing says whether it corrects it: another word that is as true joins
it, anything else is asked about. Without this it would be lost, and the finding stand as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.lexicon import Reading as Sense
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Span, Statement
from dictate.model import UtteranceKind
from dictate.resolve import corrections
from dictate.resolve.context import Entry
from dictate.resolve.fit import fit, is_normal
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def of_the_last(
    resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement
) -> UtteranceKind | None:
    """Enter the value as one of the last finding.

    Returns:
        None where the sentence is more than a value, or the last finding does not take it.
    """
    if resolver.replying or not _only_value(sentence, st):
        return None
    entries = corrections.last_entries(resolver)
    now = len(resolver.utterances)
    if not entries or any(entry.utterance < now - 1 for entry in entries):
        return None
    said, spans = _said(st)
    values = [_value(resolver, entry, said) for entry in entries]
    if None in values or all(e.finding.value == v for e, v in zip(entries, values, strict=True)):
        return None
    if any(
        span not in spans
        and not any(r.test == entries[0].finding.test for r, at in st.labels if at == span)
        for span in st.details
    ):
        return None
    for entry, value in zip(entries, values, strict=True):
        old = entry.finding
        if st.doubts:
            corrections.ask_again(resolver, reading, st, entry)
            continue
        labels = _conditions(reading, st, old.test)
        new = replace(
            old, value=str(value), normal=is_normal(resolver.grammar, old.test, str(value)),
            detail=tuple(sorted(labels)) if labels else old.detail,
            said=(*old.said[-1:], *(place(reading, span) for span in spans)),
        )  # fmt: skip
        labels = labels or entry.labels
        resolver.add(reading, new, labels, "start", _just_now(resolver))
    return "finding"


def _conditions(reading: Reading, st: Statement, test: str) -> frozenset[str]:
    """ "With reinforcement one plus": what tells the second value from the first."""
    own = {span for value in st.values for span in value.spans}
    return frozenset(
        reading.text(span) for r, span in st.labels if r.test == test and span not in own
    )


def _just_now(resolver: Resolver) -> list[Entry]:
    """What the same utterance gave, of which another word may be true as well."""
    return [entry for entry in resolver.entries if entry.utterance == len(resolver.utterances)]


def _only_value(sentence: Sentence, st: Statement) -> bool:
    own = [span for value in st.values for span in value.spans]
    details = set(st.details) - set(own) - {span for r, span in st.labels if r.kind == "detail"}
    more = st.side or st.unknown or st.rest or st.parts or st.not_done or details or st.repeat
    alone = sentence.talk is None and sentence.statements == [st] and st.link in {"start", "comma"}
    one = len(st.targets) + len(st.values) == 1 and not any(
        t.tests or t.sites or t.side or t.section for t in st.targets
    )
    return bool(alone and one and not (more or st.denied or st.compared))


def _said(st: Statement) -> tuple[Said, list[Span]]:
    """The value, be it a word that also names a sign ("Spastic.")."""
    if st.values:
        return st.values[0], st.values[0].spans
    target = st.targets[0]
    signs = tuple(replace(sign, kind="value") for sign in target.signs)
    return Said(readings=signs), target.spans


def _value(resolver: Resolver, entry: Entry, said: Said) -> str | None:
    """The value for the finding's test; a word that any test may have says too little."""
    test = entry.finding.test
    own = said.grade is not None or of_one_kind(said.readings, test)
    found = fit(resolver.grammar, test, said) if own and not said.negated else None
    return found.value if found is not None and not found.misfit else None


def of_one_kind(readings: Sequence[Sense], test: str) -> bool:
    """A word for the value of this test, and none that anything may be called ("fine")."""
    values = [reading for reading in readings if reading.kind == "value"]
    return any(v.test == test for v in values) and all(v.test for v in values)
