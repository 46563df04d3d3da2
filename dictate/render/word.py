"""The note as a Word file (Office Open XML), through python-docx."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO

from docx import Document as new_file

from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.document import write_document

#: Characters that XML 1.0 does not allow.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_word(record: Record, grammar: Grammar) -> bytes:
    """Write the note as a Word file.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.

    Returns:
        The file's content. Its properties name no person, and no time of writing.
    """
    document = write_document(record, grammar)
    file = new_file()
    file.add_paragraph(_clean(document.caution))
    file.add_heading(_clean(document.title), level=1)
    for part in document.parts:
        if part.heading:
            file.add_heading(_clean(part.heading), level=2)
        for paragraph in part.paragraphs:
            file.add_paragraph(_clean(paragraph))
        for item in part.items:
            file.add_paragraph(_clean(item), style="List Bullet")
    file.add_paragraph(_clean(document.signature))
    _say_nothing_personal(file.core_properties, document.title)
    content = BytesIO()
    file.save(content)
    return content.getvalue()


def _say_nothing_personal(properties: object, title: str) -> None:
    for name in ("author", "last_modified_by", "comments", "keywords", "category", "subject"):
        setattr(properties, name, "")
    for name in ("created", "modified"):
        setattr(properties, name, datetime(2000, 1, 1, tzinfo=UTC))
    setattr(properties, "title", title)  # noqa: B010  # the library's class is not public


def _clean(text: str) -> str:
    return _NOT_XML.sub("\ufffd", text)
