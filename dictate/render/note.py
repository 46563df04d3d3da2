"""The note as plain text, wrapped at 100 columns."""

from __future__ import annotations

import textwrap

from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.document import Part, write_document

#: Columns; no word is broken, so a single longer word stands out.
WIDTH = 100


def write_note(record: Record, grammar: Grammar) -> str:
    """Write the note as plain text.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.

    Returns:
        Text that ends with one line break.
    """
    document = write_document(record, grammar)
    first = [_wrap(document.caution)]
    if document.known_patient:
        first.append(_wrap(document.patient))
    blocks = ["\n".join(first), *map(_write_part, document.parts), _wrap(document.signature)]
    return "\n\n".join(blocks) + "\n"


def _write_part(part: Part) -> str:
    lines = [_wrap(part.heading)] if part.heading else []
    indent = "  " if part.heading else ""
    lines += [_wrap(paragraph, indent, indent) for paragraph in part.paragraphs]
    lines += [_wrap(item, "  - ", "    ") for item in part.items]
    return "\n".join(lines)


def _wrap(text: str, first: str = "", later: str = "") -> str:
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    )
