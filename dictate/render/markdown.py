"""The note as Markdown: headings, paragraphs, lists."""

from __future__ import annotations

import re

from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.document import Part, write_document

_MARKS = re.compile(r"([\\`*_\[\]<>#|~&!$])")
_LIST_LIKE = re.compile(r"^([-+=]|\d{1,9}(?=[.)]))")


def write_markdown(record: Record, grammar: Grammar) -> str:
    """Write the note as Markdown (CommonMark).

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.

    Returns:
        One line to a paragraph, so that any editor wraps it as it likes.
    """
    document = write_document(record, grammar)
    blocks = [_escape(document.caution), f"# {_escape(document.title)}"]
    if document.known_patient:
        blocks.append(_escape(document.patient))
    for part in document.parts:
        blocks += _write_part(part)
    blocks.append(_escape(document.signature))
    return "\n\n".join(blocks) + "\n"


def _write_part(part: Part) -> list[str]:
    blocks = [f"## {_escape(part.heading)}"] if part.heading else []
    blocks += map(_escape, part.paragraphs)
    if part.items:
        blocks.append("\n".join(f"- {_escape(item)}" for item in part.items))
    return blocks


def _escape(text: str) -> str:
    """Take from signs of the text any meaning that Markdown gives them."""
    text = _MARKS.sub(r"\\\1", text)
    found = _LIST_LIKE.match(text)
    if found is None:
        return text
    end = found.end()
    return f"{text[:end]}\\{text[end:]}" if text[0].isdigit() else f"\\{text}"
