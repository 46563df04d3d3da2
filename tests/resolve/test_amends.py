"""Corrections that are a sentence of their own are carried out, or asked about."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()


def _record(*lines: str) -> Record:
    session = Session(GRAMMAR, alone=True)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


def _rows(record: Record) -> list[str]:
    return sorted(
        " ".join(part or "-" for part in (f.test, f.site, f.side, f.value)) for f in record.findings
    )


@pytest.mark.parametrize(
    ("words", "row"),
    [
        ("I got that wrong, the left.", "strength deltoid left 4+"),
        ("Wrong side.", "strength deltoid left 4+"),
        ("The other side, I mean.", "strength deltoid left 4+"),
        ("Left, not right.", "strength deltoid left 4+"),
        ("Not the right, the left.", "strength deltoid left 4+"),
        ("On second thoughts five.", "strength deltoid right 5"),
        ("Five, not four plus.", "strength deltoid right 5"),
        ("Minus, not plus.", "strength deltoid right 4-"),
        ("Four plus was an exaggeration, three.", "strength deltoid right 3"),
    ],
)
def test_what_was_said_instead_takes_its_place(words: str, row: str) -> None:
    record = _record("Right deltoid four plus.", words)
    assert _rows(record) == [row] and not record.questions


def test_announced_in_one_utterance_and_said_in_the_next() -> None:
    for announcement in ("I got that wrong.", "Correction."):
        record = _record("Right deltoid four.", announcement, "Five.")
        assert _rows(record) == ["strength deltoid right 5"] and not record.questions


def test_a_mistake_that_nobody_corrects_is_asked_about() -> None:
    record = _record("Right deltoid four.", "I got that wrong.")
    assert not record.findings
    (question,) = record.questions
    assert "I got that wrong" in question.prompt
    assert {f.side for c in question.choices for f in c.findings} == {"right", "left"}


def test_all_of_that_turns_the_side_of_the_list() -> None:
    said = "Right deltoid four, biceps five"
    for lines in (
        (f"{said}.", "All of that was the left."),
        (f"{said}, all of that was the left.",),
    ):
        assert _rows(_record(*lines)) == ["strength biceps left 5", "strength deltoid left 4"]


def test_the_last_is_taken_back_alone() -> None:
    record = _record("Right deltoid four.", "Left grip five.", "Disregard the last.")
    assert _rows(record) == ["strength deltoid right 4"]


def test_a_value_for_a_name_that_has_none_corrects_nothing() -> None:
    record = _record("Left grip five.", "Right deltoid, I'd call it four.")
    assert _rows(record) == ["strength deltoid right 4", "strength grip left 5"]


def test_swapped_sides_of_a_list_are_asked_about() -> None:
    record = _record("Right deltoid four, biceps five, triceps five.", "Swap the sides.")
    assert not record.findings and [q.kind for q in record.questions] == ["referent"]


def test_what_is_there_and_later_is_not_is_a_conflict() -> None:
    record = _record("Left drift.", "There is no drift.")
    assert not record.findings and [q.kind for q in record.questions] == ["conflict"]


def test_a_restatement_that_is_not_understood_withdraws_what_it_restates() -> None:
    record = _record("Left deltoid four.", "Left deltoid, I will be vranging, five.")
    assert not _rows(record)
    assert record.questions
