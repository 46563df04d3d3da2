"""The note as a Word file (Office Open XML, ECMA-376), through python-docx."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

from docx import Document as new_file
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Pt

from dictate import __version__
from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.document import Document, write_document
from dictate.render.drawing import clean
from dictate.render.page import NO_SIDE, as_signed
from dictate.render.pictures import Picture, pictures
from dictate.render.raster import png
from dictate.render.sides_table import NOTHING, Cell
from dictate.render.standing import is_signed, one_line, state_words

#: Width of a picture, of the 432 points between the margins.
_PICTURE_PT = 270
#: Characters of a property of the file (python-docx: "limited to 255 unicode characters").
_LONGEST_PROPERTY = 255
_PROGRAM = (
    "<?xml version='1.0' encoding='UTF-8' standalone='yes'?>\n"
    '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    "<Application>{name}</Application></Properties>"
)


def write_word(record: Record, grammar: Grammar) -> bytes:
    """Write the note as a Word file.

    Every page says whether it is signed and which of how many it is.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order, all words, and where things stand on the pictures.

    Returns:
        The file's content. Its properties name nobody but who signed, and no time of writing.
    """
    document = write_document(record, grammar)
    file = new_file()
    normal = file.styles["Normal"]
    normal.font.size, normal.paragraph_format.space_after = Pt(10.5), Pt(4)
    file.add_paragraph(clean(document.caution))
    file.add_heading(clean(document.title), level=1)
    file.add_paragraph(clean(document.patient))
    for part in document.parts:
        if part.heading:
            file.add_heading(clean(part.heading), level=2)
        for paragraph in part.paragraphs:
            file.add_paragraph(clean(paragraph))
        for item in part.items:
            file.add_paragraph(clean(item), style="List Bullet")
    for picture in pictures(record, grammar):
        _picture(file, picture, as_signed(record))
    last = file.add_paragraph(clean(document.signature))
    last.paragraph_format.space_before = Pt(24)
    last.paragraph_format.keep_together = True
    _footer(file, record, document)
    _properties(file, record, document)
    content = BytesIO()
    file.save(content)
    return content.getvalue()


def _picture(file: Any, picture: Picture, more: str) -> None:
    """A table as a table; a drawing as a picture, and the same in words for who cannot see it."""
    heading = file.add_heading(clean(picture.title + more), level=2)
    heading.paragraph_format.keep_with_next = True
    if picture.rows:
        _table(file, picture)
        for note in picture.notes:
            file.add_paragraph(clean(note))
        return
    paragraph = file.add_paragraph()
    shape = paragraph.add_run().add_picture(BytesIO(png(picture)), width=Pt(_PICTURE_PT))
    shape._inline.docPr.set("descr", clean(picture.words))
    shape._inline.docPr.set("title", clean(picture.title))


def _table(file: Any, picture: Picture) -> None:
    table = file.add_table(rows=1, cols=3, style="Table Grid")
    for cell, text in zip(table.rows[0].cells, ("", "right", "left"), strict=True):
        cell.paragraphs[0].add_run(text).bold = True
    # the heads stand again on the next page
    table.rows[0]._tr.get_or_add_trPr().append(OxmlElement("w:tblHeader"))
    for row in picture.rows:
        if row.middle is not None:
            cells = table.add_row().cells
            cells[0].text = clean(row.name)
            wide = cells[1].merge(cells[2])
            _fill(wide, Cell(f"{row.middle.text} ({NO_SIDE})", row.middle.abnormal))
        if row.right is not None or row.left is not None:
            cells = table.add_row().cells
            cells[0].text = clean(row.name)
            for cell, value in zip(cells[1:], (row.right, row.left), strict=True):
                _fill(cell, value or Cell(NOTHING))
    last = len(table.rows) - 1
    for number, row in enumerate(table.rows):
        for cell in row.cells:
            cell.paragraphs[0].paragraph_format.space_after = Pt(0)
            cell.paragraphs[0].paragraph_format.keep_with_next = number < last


def _fill(cell: Any, value: Cell) -> None:
    run = cell.paragraphs[0].add_run(clean(value.text))
    run.bold = value.abnormal


def _footer(file: Any, record: Record, document: Document) -> None:
    patient = record.examined.patient if record.examined else ""
    named = f"Patient {one_line(patient)}. " if document.known_patient else ""
    paragraph = file.sections[0].footer.paragraphs[0]
    paragraph.add_run(clean(f"{named}{state_words(record)}. Page "))
    _field(paragraph, "PAGE")
    paragraph.add_run(" of ")
    _field(paragraph, "NUMPAGES")


def _field(paragraph: Any, code: str) -> None:
    """A number that the word processor counts."""
    for kind, text in (("begin", None), (None, code), ("end", None)):
        run = paragraph.add_run()._r
        if kind is None:
            element = OxmlElement("w:instrText")
            element.set(qn("xml:space"), "preserve")
            element.text = text
        else:
            element = OxmlElement("w:fldChar")
            element.set(qn("w:fldCharType"), kind)
        run.append(element)


def _properties(file: Any, record: Record, document: Document) -> None:
    """What the file says of itself: what it is, who signed, and which program wrote it."""
    properties = file.core_properties
    for name in ("last_modified_by", "comments", "keywords", "category"):
        setattr(properties, name, "")
    kept = record.examined
    signed = kept.signature if kept is not None and is_signed(record) else None
    properties.author = _short(one_line(signed.by)) if signed else ""
    properties.title, properties.subject = document.title, _short(state_words(record))
    properties.language = "en"
    for name in ("created", "modified"):
        # the library's own template carries a day that is not this file's
        for element in properties._element.findall(qn(f"dcterms:{name}")):
            properties._element.remove(element)
    if signed is not None and kept is not None:
        properties.created = _time(kept.at)
        properties.modified = _time(signed.at)
    for relation in list(file.part.package.rels.values()):
        if relation.reltype.endswith("/thumbnail"):
            file.part.package.rels.pop(relation.rId)
        elif relation.reltype.endswith("/extended-properties"):
            name = escape(f"dictate {__version__}")
            relation.target_part._blob = _PROGRAM.format(name=name).encode()


def _short(text: str) -> str:
    """A property's text: word processors take no longer one."""
    whole = clean(text)
    return whole if len(whole) <= _LONGEST_PROPERTY else f"{whole[: _LONGEST_PROPERTY - 1]}…"


def _time(at: str) -> datetime | None:
    try:
        time = datetime.fromisoformat(at)
    except ValueError:
        return None
    return time.astimezone(UTC) if time.tzinfo else time
