"""The note before it is text, Markdown or Word: its parts in their order.

The order: the cautions, what must be settled, the findings, what was said and has no place,
notices, what was not mentioned, the line to sign.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.names import capital
from dictate.model import Place, Question, Record
from dictate.render.sections import write_sections

TITLE = "Examination note"
CAUTION = "Draft for the examiner to check and sign. It makes no diagnosis. Not a medical device."
SIGNATURE = "Checked and signed: ______________________________    Date: ________________"
NOTHING = "No findings are recorded."


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the note: a heading, paragraphs, and a list."""

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
    remarks = [_one_line(u.text) for u in record.utterances if u.kind == "remark"]
    settle = [_question(question, texts) for question in record.questions]
    parts = [_part("To be settled", settle), *_findings(record, grammar)]
    parts.append(_part("Said, not placed", [f'"{text}"' for text in remarks]))
    parts.append(_part("Notices", map(_one_line, record.notices)))
    parts.append(Part("Not mentioned", tuple(_not_mentioned(record, grammar))))
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


def _question(question: Question, texts: dict[str, str]) -> str:
    """The prompt, and the words that it is about."""
    words = dict.fromkeys(_quoted(place, texts) for place in question.about)
    said = ", ".join(f'"{text}"' for text in words if text)
    prompt = _one_line(question.prompt)
    return f"{prompt} (said: {said})" if said else prompt


def _quoted(place: Place, texts: dict[str, str]) -> str:
    return _one_line(texts.get(place.utterance, "")[place.start : place.end])


def _not_mentioned(record: Record, grammar: Grammar) -> list[str]:
    """Usual parts of which nothing was said, and those that a summary alone speaks of."""
    touched = {finding.test for finding in record.findings}
    for question in record.questions:
        touched |= {f.test for choice in question.choices for f in choice.findings}
    for test in list(touched):
        touched.update(grammar.tests[test].covers)
    open_parts = [t for t, spec in grammar.tests.items() if spec.usual and t not in touched]
    rest: list[str] = []
    under: dict[str, list[str]] = {}
    for test in open_parts:
        area = grammar.area_of(test).area
        name = grammar.tests[test].name
        (under.setdefault(area, []) if area in touched else rest).append(name)
    lines = [f"Not mentioned: {', '.join(rest)}."] if rest else []
    for summary, names in under.items():
        name = grammar.tests[summary].name
        lines.append(f"Not mentioned one by one, only as {name}: {', '.join(names)}.")
    return [capital(line) for line in lines]


def _one_line(text: str) -> str:
    return " ".join(text.split())
