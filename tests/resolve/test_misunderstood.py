"""A correction that is not understood holds back what it may be of, and nothing else."""

from __future__ import annotations

import pytest

from dictate.model import Record, Utterance
from dictate.resolve.strange import Key, key_of
from dictate.session import Session

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
