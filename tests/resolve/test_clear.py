"""What is surely retold of all of an utterance, though no reader comes to it: when it stands."""

from __future__ import annotations

import pytest

from dictate.model import Record
from dictate.resolve.strange import Key, key_of
from dictate.resolve.whole import touches
from dictate.retell.words import Row

from .networks import Retells, Says, record_with

FIVE: Row = ("strength", "upper_limb", "right", "5")
#: Neither reader understands it: the plural of a number is none of the grammar's.
LINE = "Right arm, all fives"


def _record(
    monkeypatch: pytest.MonkeyPatch, line: str, rows: list[Row], *before: str,
    number: float = 9.0, ask: float = 0.0, likely: float = 0.999,
) -> Record:  # fmt: skip
    told = Retells(line, rows, ask, likely)
    return record_with(monkeypatch, Says(number), told, *before, line)


def _rows(record: Record) -> set[Key]:
    return {key_of(finding) for finding in record.findings}


def test_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    assert FIVE not in _rows(_record(monkeypatch, LINE, []))
    record = _record(monkeypatch, LINE, [FIVE])
    assert _rows(record) == {FIVE}
    assert not record.questions


@pytest.mark.parametrize(
    ("line", "rows", "number", "ask", "likely"),
    [
        (LINE, [FIVE], -9.0, 0.0, 0.999),  # the network that weighs says no
        (LINE, [FIVE], 9.0, 0.5, 0.999),  # something must be asked
        (LINE, [FIVE], 9.0, 0.0, 0.6),  # it is told, and not surely
        (LINE, [("strength", "upper_limb", "left", "5")], 9.0, 0.0, 0.999),  # nobody says left
        (LINE, [FIVE, (*FIVE[:3], "4")], 9.0, 0.0, 0.999),  # two values of one part
        ("Not the right arm, all fives", [FIVE], 9.0, 0.0, 0.999),  # a denial
        ("His brother's right arm, all fives", [FIVE], 9.0, 0.0, 0.999),  # another person
        ("On the right, all fives", [FIVE], 9.0, 0.0, 0.999),  # nothing is named
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
    before = "Right arm power four out of five."
    assert _rows(_record(monkeypatch, LINE, [FIVE], before)) == {(*FIVE[:3], "4")}


def test_a_part_is_touched_by_another_value_of_it_on_that_side_or_on_none() -> None:
    four = (*FIVE[:3], "4")
    assert touches([FIVE], [four])
    assert touches([FIVE], [("strength", "upper_limb", None, "4")])
    assert not touches([FIVE], [FIVE])
    assert not touches([FIVE], [("strength", "upper_limb", "left", "4")])
    assert not touches([FIVE], [("tone", "upper_limb", "right", "normal")])
