"""What is surely retold of all of an utterance, though no reader comes to it: when it stands."""

from __future__ import annotations

import pytest

from dictate.model import Record
from dictate.resolve.strange import Key, key_of
from dictate.resolve.whole import touches
from dictate.retell.words import Row

from .networks import Retells, Says, record_with

SLOW: Row = ("pupil_reaction", None, "right", "sluggish")
#: Neither reader records it: there are words between of which they know nothing.
LINE = "Right pupil in this awful light came out sluggish"


def _record(
    monkeypatch: pytest.MonkeyPatch, line: str, rows: list[Row], *before: str,
    number: float = 4.0, ask: float = 0.0, likely: float = 0.999,
) -> Record:  # fmt: skip
    told = Retells(line, rows, ask, likely)
    return record_with(monkeypatch, Says(number), told, *before, line)


def _rows(record: Record) -> set[Key]:
    return {key_of(finding) for finding in record.findings}


def test_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    assert SLOW not in _rows(_record(monkeypatch, LINE, []))
    record = _record(monkeypatch, LINE, [SLOW])
    assert _rows(record) == {SLOW}
    assert not record.questions


@pytest.mark.parametrize(
    ("line", "rows", "number", "ask", "likely"),
    [
        (LINE, [SLOW], -9.0, 0.0, 0.999),  # the network that weighs says no
        (LINE, [SLOW], 4.0, 0.5, 0.999),  # something must be asked
        (LINE, [SLOW], 4.0, 0.0, 0.6),  # it is told, and not surely
        (LINE, [(*SLOW[:2], "left", "sluggish")], 4.0, 0.0, 0.999),  # nobody says left
        (LINE, [(*SLOW[:3], "absent")], 4.0, 0.0, 0.999),  # no word is that value
        (LINE, [SLOW, (*SLOW[:3], "normal")], 4.0, 0.0, 0.999),  # two values of one part
        (LINE, [("tandem", None, None, "absent")], 4.0, 0.0, 0.999),  # nobody asks of that
        (f"Not {LINE}", [SLOW], 4.0, 0.0, 0.999),  # a denial
        (f"In his brother {LINE}", [SLOW], 4.0, 0.0, 0.999),  # another person
    ],
)
def test_else_it_is_left_to_the_examiner(
    monkeypatch: pytest.MonkeyPatch, line: str, rows: list[Row], number: float, ask: float,
    likely: float,
) -> None:  # fmt: skip
    record = _record(monkeypatch, line, rows, number=number, ask=ask, likely=likely)
    assert not _rows(record) & set(rows)
    assert not any(question.kind == "conflict" for question in record.questions)


def test_what_was_found_before_is_not_the_networks_to_change(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = "Right pupil brisk."
    assert SLOW not in _rows(_record(monkeypatch, LINE, [SLOW], before))


@pytest.mark.parametrize(
    "denied", ["Tandem cannot be done well", "The grip would not be called as strong as his own"]
)
def test_what_is_told_answers_nothing_of_a_denied_sentence_that_it_leaves_out(
    monkeypatch: pytest.MonkeyPatch, denied: str
) -> None:
    grip: Row = ("strength", "grip", "right", "4")
    alone = _record(monkeypatch, f"Right grip four out of five. {denied}.", [])
    assert alone.questions
    record = _record(monkeypatch, f"Right grip four out of five. {denied}.", [grip], number=9.0)
    assert [question.about for question in record.questions] == [
        question.about for question in alone.questions
    ]


def test_a_part_is_touched_by_another_value_of_it_on_that_side_or_on_none() -> None:
    brisk = (*SLOW[:3], "normal")
    assert touches([SLOW], [brisk])
    assert touches([SLOW], [(*SLOW[:2], None, "normal")])
    assert not touches([SLOW], [SLOW])
    assert not touches([SLOW], [(*SLOW[:2], "left", "normal")])
    assert not touches([SLOW], [("palate", None, "right", "normal")])
