"""Laws of the note: it says nothing that the record does not hold, and all that it holds."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from dictate.model import Finding
from dictate.render import RENDERERS
from dictate.render.sections import write_sections

from .strategies import GRAMMAR, Statement, hear, narrations, sayings

GRADE = re.compile(r"(?<![\w/])(\d[+-]?)(?:/(\d+))?(?![\w/+])")


def _held(findings: tuple[Finding, ...]) -> str:
    """Everything in words that findings hold, to look a note's words up in."""
    return " ".join(
        " ".join((f.value, f.site_said or "", *f.detail, *_names(f))) for f in findings
    ).lower()


def _names(finding: Finding) -> tuple[str, ...]:
    """How the grammar writes the finding's test, site and value."""
    test = GRAMMAR.tests[finding.test]
    site = GRAMMAR.sites_of(finding.test).get(finding.site or "")
    value = test.values.get(finding.value)
    written = (test.name, test.note, site and site.name, site and site.names)
    return tuple(filter(None, (*written, value and value.reads, value and value.note)))


def _check(findings: tuple[Finding, ...], text: str) -> None:
    held, sides = _held(findings), {f.side for f in findings}
    for side in ("right", "left"):
        if re.search(rf"\b{side}\b", text.lower()):
            assert side in sides or side in held, text
    if re.search(r"\b(bilaterally|both)\b", text.lower()):
        assert {"right", "left"} <= sides or "both" in held or "bilateral" in held, text
    for match in GRADE.finditer(text):
        assert match[1] in held, text


@given(st.lists(sayings(), min_size=1, max_size=4))
def test_no_sentence_names_a_grade_or_side_that_its_findings_lack(lines: list[str]) -> None:
    record = hear(*lines)
    written: list[Finding] = []
    for section in write_sections(record, GRAMMAR):
        for paragraph in section.paragraphs:
            for sentence in paragraph:
                # the place of an open question is in no finding yet
                _check(
                    sentence.findings, re.sub(r", except [^;]+, to be settled", "", sentence.text)
                )
                written.extend(sentence.findings)
    assert {id(f) for f in written} == {id(f) for f in record.findings}


@given(narrations(1, 5))
def test_each_grade_and_side_is_in_the_note(narration: list[Statement]) -> None:
    note = RENDERERS["note"].function(hear(*(s.text for s in narration)), GRAMMAR)
    assert isinstance(note, str)
    for test, _, side, grade in (s.row for s in narration):
        scale = GRAMMAR.scales[GRAMMAR.tests[test].scale or ""]
        words = GRAMMAR.tests[test].values
        assert scale.note.replace("{grade}", grade) in note or grade in words
        assert re.search(rf"\b({side}|bilaterally|both)\b", note)


@given(narrations(2, 6))
def test_sections_stand_in_their_own_order(narration: list[Statement]) -> None:
    """Whatever the order of speaking, the note keeps the classical order of the sections."""
    lines = [s.text for s in narration]
    forward = write_sections(hear(*lines), GRAMMAR)
    backward = write_sections(hear(*reversed(lines)), GRAMMAR)
    assert {s.heading for s in forward} == {s.heading for s in backward}
    areas = [area.heading.note.lower() for area in GRAMMAR.areas]
    for sections in (forward, backward):
        places = [
            next(i for i, area in enumerate(areas) if s.heading.lower().startswith(area))
            for s in sections
        ]
        assert places == sorted(places)


@given(st.lists(sayings(), min_size=1, max_size=3))
def test_a_remark_is_in_the_note_word_for_word(lines: list[str]) -> None:
    record = hear(*lines)
    note = RENDERERS["markdown"].function(record, GRAMMAR)
    assert isinstance(note, str)
    flat = re.sub(r"[\\\s]+", "", note)
    for utterance in record.utterances:
        if utterance.kind == "remark":
            assert re.sub(r"[\\\s]+", "", utterance.text) in flat
