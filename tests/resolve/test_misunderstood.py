"""A correction that is not understood holds back what it may be of, and nothing else."""

from __future__ import annotations

import pytest

from dictate.model import Record, Utterance
from dictate.resolve.strange import Key, key_of
from dictate.session import Session

from .networks import Retells, Says, record_with

SAID = ("Left hip flexion two, knee extension three.", "Light touch reduced in both feet.")
WRONG = "Wrong leg, the power was the right."


def _session(*lines: str) -> Session:
    session = Session(weighed=False)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(str(number), line))
    return session


def _rows(record: Record) -> set[Key]:
    return {key_of(finding) for finding in record.findings}


def _power(side: str) -> set[Key]:
    return {("strength", "hip_flexion", side, "2"), ("strength", "knee_extension", side, "3")}


FEET = {("light_touch", "foot", side, "reduced") for side in ("right", "left")}


def test_what_it_names_leaves_the_record_for_the_question() -> None:
    assert _rows(_session(*SAID).record()) == _power("left") | FEET
    record = _session(*SAID, WRONG).record()
    assert not _rows(record) & (_power("left") | _power("right"))
    ways = [
        ({key_of(f) for f in choice.findings}, {place.utterance for place in question.about})
        for question in record.questions
        for choice in question.choices
    ]
    assert any(found == _power("left") and {"1", "3"} <= about for found, about in ways)
    assert any(found == _power("right") for found, _ in ways)


@pytest.mark.parametrize(("way", "side"), [("as it was", "left"), ("the other side", "right")])
def test_an_answer_brings_it_back(way: str, side: str) -> None:
    session = _session(*SAID, WRONG)
    (question,) = [q for q in session.record().questions if any(c.label == way for c in q.choices)]
    (mark,) = [n for n, choice in enumerate(question.choices) if choice.label == way]
    session.answer(question.id, "abcdefgh"[mark])
    assert _rows(session.record()) >= _power(side)
    assert not any(q.id == question.id for q in session.record().questions)


@pytest.mark.parametrize(
    "line",
    [
        "Close your eyes please.",  # no correction
        "Biceps jerks, left two plus, no, three plus.",  # it was understood
        "No clonus, sorry, and the plantars.",  # it is of something else
    ],
)
def test_the_rest_stands(line: str) -> None:
    assert _rows(_session(*SAID, line).record()) >= _power("left") | FEET


BREATH = "left sided ptosis sorry not left right sided ptosis"


def test_so_does_what_the_same_breath_has_said_before_it() -> None:
    record = _session(BREATH).record()
    assert not record.findings
    ways = [{key_of(f) for f in c.findings} for q in record.questions for c in q.choices]
    assert {("ptosis", None, "left", "present")} in ways


def test_what_is_told_does_not_settle_half_of_a_correction(monkeypatch: pytest.MonkeyPatch) -> None:
    right = ("ptosis", None, "right", "present")
    told = Retells(BREATH, [right], likely=0.999)
    record = record_with(monkeypatch, Says(30.0), told, BREATH)
    assert not record.findings
    assert record.questions


def test_what_was_found_of_both_sides_is_not_found_of_one_twice() -> None:
    said = ("No clonus at either ankle.", "Sorry, the right ankle has got a few beats.")
    record = _session(*said).record()
    assert ("clonus", "ankle", "right", "absent") not in _rows(record)
    assert len(_rows(record)) == len(record.findings)
    assert any(
        choice.label == "as it was" for question in record.questions for choice in question.choices
    )
