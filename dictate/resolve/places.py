"""Where a finding was said, and the qualifiers that were said with it."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Span, Statement, Target
from dictate.interpret.totals import TOTAL
from dictate.model import Place, Utterance
from dictate.resolve.fit import beside_word, fit


def places_of(
    reading: Reading, st: Statement, spans: Iterable[Span], extra: Iterable[Place]
) -> tuple[Place, ...]:
    """The stretches that gave a finding: its targets, the values, and what held from before."""
    tokens: set[int] = set()
    for a, b in [
        *spans,
        *st.spans,
        *(s for v in st.values for s in v.spans),
        *st.details,
        *st.reasons,
    ]:
        tokens.update(range(a, b))
    for _, span in st.labels:
        tokens.update(range(*span))
    own = [place(reading, span) for span in _runs(reading, sorted(tokens))]
    own = [one for one in own if one.start < one.end]  # a name that no word of it says
    return tuple(dict.fromkeys([*extra, *own]))


def lent_name(grammar: Grammar, test: str, value: str, near: Collection[str]) -> str | None:
    """What a sign without a place is, said right after a part that has its own test for it.

    Args:
        grammar: Whose tests lend their names.
        test: The test that the sign names by itself.
        value: What was found; the part's own test must have it too.
        near: The tests that the sentence spoke of before it; all must be of the part's area.
    """
    areas = {grammar.area_of(name).area for name in near}
    own = {o for name in near if (o := grammar.tests[name].lends_name.get(test))}
    if len(areas) != 1 or len(own) != 1:
        return None
    (name,) = own
    return name if value in grammar.tests[name].values else None


def place(reading: Reading, span: Span) -> Place:
    """A token span as a place, with seconds and the lowest confidence of its words."""
    return place_at(reading.utterance, *reading.chars(span))


def place_at(utterance: Utterance, start: int, end: int) -> Place:
    """Characters of an utterance as a place, with seconds and the lowest confidence."""
    words = [w for w in utterance.words if w.start < end and start < w.end]
    starts = [w.start_s for w in words if w.start_s is not None]
    ends = [w.end_s for w in words if w.end_s is not None]
    sure = [w.confidence for w in words if w.confidence is not None]
    return Place(
        utterance.id, start, end,
        min(starts, default=None), max(ends, default=None), min(sure, default=None),
    )  # fmt: skip


def _runs(reading: Reading, tokens: list[int]) -> list[Span]:
    """Neighbouring tokens as one stretch."""
    runs: list[Span] = []
    for i in tokens:
        if runs and runs[-1][1] == i:
            runs[-1] = (runs[-1][0], i + 1)
        else:
            runs.append((i, i + 1))
    return runs


def detail_of(
    reading: Reading, st: Statement, grammar: Grammar, test: str, value: str, own: Target
) -> tuple[str, ...]:
    """Qualifiers as spoken, in order; parts of a total as "E4".

    An edge ("to the knees") belongs to its own target alone (``own``), or to all tests with it.
    """
    details: list[str] = []
    edges = {span for t in st.targets if t.edge for span in t.spans} - set(own.spans)
    for span in sorted(set(st.details) - edges if own.sites else set(st.details)):
        text = bare(reading.text(span), grammar)
        if test not in st.owners.get(span, {test}):
            continue
        if text and text not in details and text.lower() != value.replace("_", " "):
            details.append(text)
    for said in st.values if _one_test(st) else ():
        word = said.grade is None and not said.negated and said.spans
        if word and not st.denied and fit(grammar, test, said) is None:
            details.append(reading.text(said.spans[0]))
    for said in st.values:
        if said.spans and beside_word(grammar, test, value, said.grade):
            details.append(reading.text(said.spans[0]))
    for span in st.reasons:
        details.append(bare(reading.text(span), grammar))
    parts = [
        part_text(term.id, grade.number)
        for term, grade in st.parts
        if term.test == test and term.id != TOTAL
    ]
    return (*parts, *details)


def part_text(label: str, number: str) -> str:
    """A part of a total with its points: "E4", "left arm 2"."""
    return f"{label}{number}" if len(label) == 1 else f"{label} {number}"


def _one_test(st: Statement) -> bool:
    """One test alone is named, so that a value word that is none of its values qualifies it."""
    return len({r.test for target in st.targets for r in [*target.tests, *target.signs]}) == 1


def bare(text: str, grammar: Grammar) -> str:
    """Without the article in front."""
    first, _, rest = text.partition(" ")
    return rest if rest and first.lower() in grammar.speech.article else text
