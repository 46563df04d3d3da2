"""What only one listener heard says so, once, in every output; what was typed says nothing."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import docx
import jsonschema
import pytest
import webvtt

from dictate.grammar import Grammar
from dictate.model import Finding, Place, Record
from dictate.render import RENDERERS, read_record
from dictate.render.record_json import record_schema
from dictate.render.unchecked import MARK

GAIT = Finding("gait", None, None, "ataxic", (), False, (Place("u1", 0, 4, 1.0, 2.5),))


def deltoid(side: str, checked: bool | None, value: str = "5") -> Finding:
    at_s = 4.0 if side == "right" else 8.0
    said = (Place("u2", 0, 4, at_s, at_s + 1.5),)
    return Finding("strength", "deltoid", side, value, (), value == "5", said, checked=checked)  # type: ignore[arg-type]


def text_of(output: str, record: Record, grammar: Grammar) -> str:
    made = RENDERERS[output].function(record, grammar)
    if isinstance(made, bytes):
        return "\n".join(p.text for p in docx.Document(io.BytesIO(made)).paragraphs)
    return made


WRITTEN = ("note", "markdown", "word")


@pytest.mark.parametrize("output", WRITTEN)
def test_a_finding_is_marked_and_its_neighbours_are_not(small: Grammar, output: str) -> None:
    record = Record((replace(GAIT, checked=True), deltoid("right", True), deltoid("left", False)))
    text = text_of(output, record, small)
    assert text.count(MARK) == 1
    assert f"Strength 5/5 in the left deltoid ({MARK})." in text
    assert "Strength 5/5 in the right deltoid." in text


@pytest.mark.parametrize("output", WRITTEN)
def test_a_section_is_marked_once_where_all_of_it_was_heard_by_one(
    small: Grammar, output: str
) -> None:
    record = Record((replace(GAIT, checked=True), deltoid("right", False), deltoid("left", False)))
    lines = text_of(output, record, small).splitlines()
    (marked,) = [line for line in lines if MARK in line]
    assert "Motor" in marked and "deltoid" not in marked
    assert any("Strength 5/5 in the deltoids bilaterally." in line for line in lines)


@pytest.mark.parametrize("output", WRITTEN)
def test_two_of_one_kind_are_marked_once(small: Grammar, output: str) -> None:
    bulk = Finding("bulk", "all", None, "normal", (), True, checked=True)
    record = Record((bulk, deltoid("right", False), deltoid("left", False)))
    text = text_of(output, record, small)
    assert text.count(MARK) == 1
    assert f"Strength 5/5 in the deltoids bilaterally ({MARK})." in text


@pytest.mark.parametrize("output", [*WRITTEN, "record", "captions"])
@pytest.mark.parametrize("checked", [True, None])
def test_what_two_heard_and_what_was_typed_has_no_mark(
    small: Grammar, output: str, checked: bool | None
) -> None:
    record = Record((replace(GAIT, checked=checked), deltoid("right", checked)))
    assert MARK not in text_of(output, record, small)


def test_captions_mark_each(small: Grammar) -> None:
    record = Record((replace(GAIT, checked=True), deltoid("right", False), deltoid("left", True)))
    cues = webvtt.from_string(text_of("captions", record, small)).captions
    assert [cue.text for cue in cues] == [
        "Gait ataxic", f"Right deltoid 5/5 ({MARK})", "Left deltoid 5/5",
    ]  # fmt: skip


def test_the_record_says_it_of_each_that_was_heard(small: Grammar) -> None:
    record = Record((GAIT, deltoid("right", True), deltoid("left", False)))
    text = text_of("record", record, small)
    data = json.loads(text)
    jsonschema.validate(data, record_schema())
    assert [found.get("checked", "absent") for found in data["findings"]] == [
        "absent", True, False,
    ]  # fmt: skip
    assert read_record(text) == record
