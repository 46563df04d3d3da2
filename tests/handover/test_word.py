"""The Word file, read back with python-docx, which did not write all of it."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from datetime import UTC, datetime

from docx import Document

from dictate.model import Record
from dictate.render.pictures import pictures
from dictate.render.word import write_word

PNG = b"\x89PNG\r\n\x1a\n"


def _parts(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        return {name: file.read(name) for name in file.namelist()}


def test_every_page_has_its_number_the_patient_and_the_state(session, draft, signed) -> None:
    for record, state in ((draft, "Draft, not signed"), (signed, "Checked and signed by A. Ex")):
        paper = Document(io.BytesIO(write_word(record, session.grammar)))
        footer = paper.sections[0].footer.paragraphs[0]
        assert footer.text.startswith(f"Patient 6f1c. {state}")
        assert footer._p.xml.count("instrText") == 4
        assert ">PAGE<" in footer._p.xml and ">NUMPAGES<" in footer._p.xml


def test_a_line_for_the_patient_is_there_also_where_nobody_knows_yet(session) -> None:
    texts = [p.text for p in Document(io.BytesIO(write_word(Record(), session.grammar))).paragraphs]
    assert any(text.startswith("Patient: ____") for text in texts)


def test_a_very_long_name_is_cut_where_the_file_takes_no_more(session, signed) -> None:
    mark = replace(signed.examined.signature, by="A. " + 300 * "x")
    long = replace(signed, examined=replace(signed.examined, signature=mark))
    paper = Document(io.BytesIO(write_word(long, session.grammar)))
    assert paper.core_properties.author.startswith("A. xxx")
    assert paper.core_properties.subject.endswith("x…")
    assert mark.by in "\n".join(p.text for p in paper.paragraphs)


def test_its_properties_say_what_it_is(session, draft, signed) -> None:
    plain = Document(io.BytesIO(write_word(draft, session.grammar))).core_properties
    assert (plain.author, plain.created, plain.modified) == ("", None, None)
    assert (plain.title, plain.subject) == ("Examination note", "Draft, not signed")
    ours = Document(io.BytesIO(write_word(signed, session.grammar))).core_properties
    assert ours.author == "A. Examiner"
    assert ours.modified == datetime(2026, 1, 2, 10, 20, tzinfo=UTC)
    parts = _parts(write_word(signed, session.grammar))
    assert b"<Application>dictate" in parts["docProps/app.xml"]
    assert "docProps/thumbnail.jpeg" not in parts


def test_the_figure_is_a_picture_with_its_words_and_the_table_is_a_table(session, draft) -> None:
    content = write_word(draft, session.grammar)
    drawn = pictures(draft, session.grammar)
    paper = Document(io.BytesIO(content))
    assert paper.inline_shapes[0]._inline.docPr.get("descr") == drawn[0].words
    images = [data for name, data in _parts(content).items() if name.endswith(".png")]
    assert len(images) == 1 and images[0].startswith(PNG)
    rows = [[cell.text for cell in row.cells] for row in paper.tables[0].rows]
    assert rows[0] == ["", "right", "left"]
    assert ["Deltoid", "5/5", "5/5"] in rows
    assert ["Iliopsoas", "4/5", "–"] in rows


def test_the_words_of_the_picture_are_drawn(session, draft) -> None:
    """With no letters drawn, two values would give the same picture."""
    toe = next(f for f in draft.findings if f.test == "plantar")
    other = tuple(replace(f, value="mute") if f is toe else f for f in draft.findings)
    images = [
        next(d for n, d in _parts(write_word(r, session.grammar)).items() if n.endswith(".png"))
        for r in (draft, replace(draft, findings=other))
    ]
    assert images[0] != images[1]
