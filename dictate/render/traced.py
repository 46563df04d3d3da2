"""The note with each sentence's findings, and words with what was unsure: for a page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.model import Finding, Record, Utterance, Word
from dictate.render.document import Document, Part, write_document
from dictate.render.sections import Section, write_sections
from dictate.resolve.resolver import UNSURE

_WORD = re.compile(r"\S+")


@dataclass(frozen=True, slots=True)
class Traced:
    """One sentence of the note, and the findings that it states (none: it states no finding)."""

    text: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class TracedPart:
    """One part of the note: paragraphs of sentences, and a list."""

    heading: str
    paragraphs: tuple[tuple[Traced, ...], ...]
    items: tuple[str, ...]


def traced_note(record: Record, grammar: Grammar) -> tuple[Document, tuple[TracedPart, ...]]:
    """The note, and its parts with their findings.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.
    """
    document = write_document(record, grammar)
    sections = list(write_sections(record, grammar))
    return document, tuple(_traced(part, sections) for part in document.parts)


def _traced(part: Part, sections: list[Section]) -> TracedPart:
    for section in sections:
        rows = tuple(
            tuple(Traced(f"{sentence.text}.", sentence.findings) for sentence in row)
            for row in section.paragraphs
        )
        texts = tuple(" ".join(sentence.text for sentence in row) for row in rows)
        if section.heading == part.heading and texts == part.paragraphs:
            return TracedPart(part.heading, rows, part.items)
    rows = tuple((Traced(paragraph),) for paragraph in part.paragraphs)
    return TracedPart(part.heading, rows, part.items)


def heard_words(utterance: Utterance) -> Iterator[tuple[Word, bool]]:
    """The words of an utterance, and whether each was heard unsurely.

    Unsure is what the recogniser doubted, what no other listener heard, and what another heard
    as something else.
    """
    words = utterance.words or tuple(
        Word(match.group(), match.start(), match.end()) for match in _WORD.finditer(utterance.text)
    )
    for word in words:
        faint = word.confidence is not None and word.confidence < UNSURE
        disputed = any(
            stretch.start < word.end and word.start < max(stretch.end, stretch.start + 1)
            for stretch in utterance.disputed
        )
        yield word, faint or word.agreed is False or disputed
