"""A record to text: one function each, listed in RENDERERS."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.captions import captions, chapters, spoken_words, subtitles
from dictate.render.fhir import fhir
from dictate.render.markdown import write_markdown
from dictate.render.note import write_note
from dictate.render.phenopacket import phenopacket
from dictate.render.record_json import read_record, record_json
from dictate.render.rows import rows


@dataclass(frozen=True, slots=True)
class Renderer:
    """One output. ``function`` gives bytes where ``binary`` is set, else text.

    ``kept``: it is written beside each examination; the others are made when they are asked for.
    ``timed``: it is of a recording, so there is none of typed words.
    """

    name: str
    function: Callable[[Record, Grammar], str | bytes]
    ending: str
    purpose: str
    binary: bool = False
    kept: bool = True
    timed: bool = False


def _word(record: Record, grammar: Grammar) -> bytes:
    # its library is large and needed for this output alone
    from dictate.render.word import write_word

    return write_word(record, grammar)


def _page(record: Record, grammar: Grammar) -> str:
    from dictate.render.page import write_page

    return write_page(record, grammar)


def _listed(*renderers: Renderer) -> dict[str, Renderer]:
    return {renderer.name: renderer for renderer in renderers}


#: Every output by name. A new one is one function and one line here.
RENDERERS: dict[str, Renderer] = _listed(
    Renderer("record", record_json, ".json", "the whole record, for programs and for checking"),
    Renderer("note", write_note, ".txt", "the note as plain text"),
    Renderer("markdown", write_markdown, ".md", "the note with headings and lists in Markdown"),
    Renderer("word", _word, ".docx", "the note as a word processor's document", binary=True),
    Renderer("html", _page, ".html", "the note as a page to print, pictures inside", kept=False),
    Renderer(
        "captions",
        captions,
        ".vtt",
        "each finding at the seconds at which it was spoken",
        timed=True,
    ),
    Renderer(
        "chapters",
        chapters,
        ".vtt",
        "the sections of the examination along the recording",
        timed=True,
    ),
    Renderer(
        "subtitles",
        subtitles,
        ".srt",
        "the captions for programs that read no WebVTT",
        kept=False,
        timed=True,
    ),
    Renderer(
        "words",
        spoken_words,
        ".vtt",
        "every word that was heard, as captions",
        kept=False,
        timed=True,
    ),
    Renderer("csv", rows, ".csv", "one row a finding, for research", kept=False),
    Renderer(
        "fhir",
        fhir,
        ".fhir.json",
        "the note and findings for other systems (HL7 FHIR R4)",
        kept=False,
    ),
    Renderer(
        "phenopacket",
        phenopacket,
        ".phenopacket.json",
        "ontology terms (GA4GH, version 2)",
        kept=False,
    ),
)

__all__ = ["RENDERERS", "Renderer", "read_record"]
