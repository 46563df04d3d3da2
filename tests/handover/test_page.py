"""The note as an HTML file: one file, no script, all that the note says, pictures as text too."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from dictate.model import Finding, Record, Utterance
from dictate.render.note import write_note
from dictate.render.page import write_page
from dictate.render.pictures import pictures

#: Elements that HTML closes by itself.
_ALONE = {"meta", "br", "hr", "img", "link", "input"}


class _Read(HTMLParser):
    """Every element with its attributes, and the text; complains where elements do not close."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self._open: list[str] = []
        self.feed(page)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in _ALONE:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self._open:
            self.text += data


def _flat(text: str) -> str:
    return re.sub(r"[\s\-]+", "", text)


def test_it_says_all_that_the_note_says(session, draft, signed) -> None:
    for record in (draft, signed):
        read = _Read(write_page(record, session.grammar))
        for line in write_note(record, session.grammar).splitlines():
            assert _flat(line) in _flat(read.text)


def test_it_is_one_file_and_holds_no_script(session, draft) -> None:
    hostile = "<script>x</script><img src=x onerror=x>\"'&"
    finding = Finding("gait", None, None, "ataxic", (hostile,), False)
    record = replace(
        draft,
        findings=(*draft.findings, finding),
        utterances=(*draft.utterances, Utterance("x", hostile, kind="remark")),
        notices=(hostile,),
        examined=replace(draft.examined, patient=hostile),
    )
    read = _Read(write_page(record, session.grammar))
    assert not {tag for tag, _ in read.elements} & {"script", "img", "iframe", "link", "object"}
    for _, attributes in read.elements:
        assert not any(name.startswith("on") or name in ("href", "src") for name in attributes)
    assert read.text.count(hostile) >= 4
    policy = next(a for tag, a in read.elements if a.get("http-equiv"))["content"]
    assert policy == "default-src 'none'; style-src 'unsafe-inline'"


def test_the_pictures_are_in_it_with_their_values_as_text(session, draft) -> None:
    drawn = pictures(draft, session.grammar)
    assert [picture.name for picture in drawn] == ["figure", "strength"]
    read = _Read(write_page(draft, session.grammar))
    svg = next(attributes for tag, attributes in read.elements if tag == "svg")
    assert svg["aria-label"] == drawn[0].words
    assert "extensor" in read.text and "Iliopsoas–4/5" not in read.text
    assert re.search(r"Iliopsoas\s*4/5\s*–", read.text)


def test_it_says_signed_or_draft(session, draft, signed) -> None:
    assert "<title>Examination note (Draft, not signed)</title>" in write_page(
        draft, session.grammar
    )
    assert "(Checked and signed by A. Examiner, 2026-01-02 10:20 UTC)</title>" in write_page(
        signed, session.grammar
    )


def test_an_addendum_stands_before_what_it_changes(session, amended) -> None:
    """Nobody may read the note as it was signed and miss what came later."""
    text = _Read(write_page(amended, session.grammar)).text
    assert "with 2 addenda, not all signed. Below the addenda stands the note as it was" in text
    changed = text.index("Changed: Right biceps 4/5; it was signed as: Right biceps 4+/5.")
    assert changed < text.index("Addendum 2") < text.index("To be settled")
    assert text.index("Taken out: Romberg positive.") < text.index("To be settled")
    assert "Strength (as signed, without the addenda)" in text


@pytest.mark.parametrize("name", ["word", "html"])
def test_an_empty_record_has_no_pictures(session, name) -> None:
    from dictate.render import RENDERERS

    made = RENDERERS[name].function(Record(), session.grammar)
    assert made and b"<svg" not in (made if isinstance(made, bytes) else made.encode())
