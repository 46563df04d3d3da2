"""The note before it is text, Markdown or Word: its parts in their order.

The order: the cautions, what must be settled, the findings, what was said and has no place, what
was said beside the findings, notices, what was not mentioned, the line to sign.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.names import NOT_DONE
from dictate.model import Place, Question, Record
from dictate.render.also_said import also_said
from dictate.render.sections import write_sections

TITLE = "Examination note"
CAUTION = "Draft for the examiner to check and sign. It makes no diagnosis. Not a medical device."
SIGNATURE = "Checked and signed: ______________________________    Date: ________________"
NOTHING = "No findings are recorded."


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the note: a heading (or none), paragraphs, and a list."""

    heading: str
    paragraphs: tuple[str, ...] = ()
    items: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """The whole note."""

    parts: tuple[Part, ...]
    title: str = TITLE
    caution: str = CAUTION
    signature: str = SIGNATURE


def write_document(record: Record, grammar: Grammar) -> Document:
    """Put the note together.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.
    """
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    # what nothing has judged yet is no more left out than a remark
    unplaced = [u.text for u in record.utterances if u.kind in ("remark", None)]
    remarks = [_one_line(text) for text in unplaced if text.strip()]
    settle = [_question(question, texts) for question in record.questions]
    parts = [_part("To be settled", settle), *_findings(record, grammar)]
    parts.append(_part("Left open", _left_open(record, texts)))
    parts.append(_part("Said, not placed", [f'"{text}"' for text in remarks]))
    parts.append(_part("Also said, in no finding", also_said(record, grammar)))
    parts.append(_part("Notices", map(_one_line, record.notices)))
    silent = _silent(record, grammar)
    parts.append(Part("", (silent,) if silent else ()))
    return Document(tuple(part for part in parts if part.items or part.paragraphs))


def _findings(record: Record, grammar: Grammar) -> list[Part]:
    sections = write_sections(record, grammar)
    if not sections:
        return [Part("Findings", (NOTHING,))]
    return [
        Part(
            section.heading,
            tuple(" ".join(f"{s.text}." for s in row) for row in section.paragraphs),
        )
        for section in sections
    ]


def _part(heading: str, items: Iterable[str]) -> Part:
    return Part(heading, items=tuple(items))


def _left_open(record: Record, texts: dict[str, str]) -> list[str]:
    """Questions that were passed over: their words are in no finding, so they are shown here."""
    return [
        _question(change.question, texts)
        for change in record.history
        if change.what == "skipped" and change.question is not None
    ]


def _question(question: Question, texts: dict[str, str]) -> str:
    """The prompt, and the words that it is about."""
    words = dict.fromkeys(_quoted(place, texts) for place in question.about)
    said = ", ".join(f'"{text}"' for text in words if text)
    prompt = _one_line(question.prompt)
    return f"{prompt} (said: {said})" if said else prompt


def _quoted(place: Place, texts: dict[str, str]) -> str:
    return _one_line(texts.get(place.utterance, "")[place.start : place.end])


@dataclass(frozen=True, slots=True)
class Silence:
    """Usual parts of which nothing was said, by name.

    Attributes:
        rest: Those that nothing covers.
        summed: Those of an area whose summary was recorded ("cranial nerves normal"), by the name
            of the summary: the summary was said, they were not, and only the examiner knows
            whether it covers them.
    """

    rest: tuple[str, ...]
    summed: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def phrases(self) -> tuple[str, ...]:
        """Each part, or each summary with its parts, in words."""
        return (
            *self.rest,
            *(f"one by one, only as {name}: {', '.join(parts)}" for name, parts in self.summed),
        )


def not_mentioned(record: Record, grammar: Grammar) -> Silence:
    """The usual parts of which nothing was said.

    Args:
        record: What was found and asked.
        grammar: Knows which parts are usual.
    """
    touched = {finding.test for finding in record.findings}
    for question in record.questions:
        touched |= {found.test for choice in question.choices for found in choice.findings}
    carried_out = {found.test for found in record.findings if found.value not in NOT_DONE}
    for test in carried_out:
        touched.update(grammar.tests[test].covers)
    rest: list[str] = []
    under: dict[str, list[str]] = {}
    for test, spec in grammar.tests.items():
        summary = _summary(grammar, test)
        # what sums up others is not missing where one of them was mentioned
        parts_of = {*spec.covers, *(grammar.area_of(test).tests if test == summary else ())}
        if not spec.usual or touched & {test, *parts_of}:
            continue
        summed = summary in carried_out
        (under.setdefault(summary, []) if summed else rest).append(spec.name)
    return Silence(
        tuple(rest),
        tuple((grammar.tests[summary].name, tuple(names)) for summary, names in under.items()),
    )


def _silent(record: Record, grammar: Grammar) -> str | None:
    """The line on what was not mentioned."""
    found = not_mentioned(record, grammar)
    first = [", ".join(found.rest)] if found.rest else []
    parts = [*first, *found.phrases[len(found.rest) :]]
    return f"Not mentioned: {'; '.join(parts)}." if parts else None


def _summary(grammar: Grammar, test: str) -> str:
    """The test that sums up the area of a test; empty where there is none.

    A summary has the id of its area and knows two values, as it should be and not. A test with
    more words of its own may have its area's id and sums up nothing.
    """
    area = grammar.area_of(test)
    found = area.tests.get(area.area)
    return area.area if found is not None and len(found.values) == 2 else ""


def _one_line(text: str) -> str:
    return " ".join(text.split())
