"""One reader and the network that retells say the same of an utterance: when that is enough."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from dictate.grammar import load_grammar
from dictate.model import Finding, Place, Record
from dictate.resolve.strange import Key, key_of
from dictate.resolve.whole import Heard
from dictate.retell.lines import Line
from dictate.retell.retelling import Told
from dictate.retell.words import Row

from .networks import Retells, Says, record_with

GRAMMAR = load_grammar()
RIGHT: Row = ("strength", "deltoid", "right", "4")
LEFT: Row = ("strength", "deltoid", "left", "5")


def _record(
    monkeypatch: pytest.MonkeyPatch, rows: Sequence[Row] | None, *lines: str,
    number: float = 8.0, ask: float = 0.0,
) -> Record:  # fmt: skip
    told = Retells(lines[-1], rows, ask) if rows is not None else None
    return record_with(monkeypatch, Says(number), told, *lines)


def _rows(record: Record) -> list[Key]:
    return sorted(map(key_of, record.findings), key=str)


#: The first reader asks, the second understands it.
LINE = "Left S1 absent to pin, reduced to light touch"
SAID: list[Row] = [("light_touch", "s1", "left", "reduced"), ("pinprick", "s1", "left", "absent")]


def test_it_is_recorded(monkeypatch: pytest.MonkeyPatch) -> None:
    assert _record(monkeypatch, None, LINE).questions
    record = _record(monkeypatch, SAID, LINE)
    assert not record.questions
    assert _rows(record) == SAID


@pytest.mark.parametrize(
    ("rows", "number", "ask"),
    [
        (SAID[:1], 8.0, 0.0),  # something that the second finds is not told
        ([*SAID, RIGHT], 8.0, 0.0),  # something else is told as well
        (SAID, -8.0, 0.0),  # the network that weighs says no
        (SAID, 8.0, 0.9),  # something of it must be asked
    ],
)
def test_else_it_is_asked(
    monkeypatch: pytest.MonkeyPatch, rows: list[Row], number: float, ask: float
) -> None:
    assert _record(monkeypatch, rows, LINE, number=number, ask=ask).questions


@pytest.mark.parametrize(
    "line", ["Left ankle jerk is absent. The right isn't.", "Tone normal, not in the legs."]
)
def test_what_both_readers_ask_is_asked(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    told = _rows(_record(monkeypatch, None, line))
    assert _record(monkeypatch, told, line, number=20.0).questions


def test_where_the_network_fails_it_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    class Fails(Retells):
        def retell(self, lines: Sequence[Line]) -> list[Told | None]:
            raise RuntimeError("out of memory")

    alone = record_with(monkeypatch, None, None, LINE)
    assert record_with(monkeypatch, Says(20.0), Fails(LINE, SAID), LINE) == alone
    assert alone.questions


def _finding(row: Row, utterance: str = "u2") -> Finding:
    test, site, side, value = row
    return Finding(test, site, side, value, said=(Place(utterance, 0, 5),))  # type: ignore[arg-type]


def _heard(before: Sequence[Finding], now: Sequence[Finding], asks: bool = False) -> Heard:
    def keyed(found: Sequence[Finding]) -> dict[Key, Finding]:
        return {key_of(f): f for f in found}

    return Heard(keyed(before), keyed(now), asks, "u2")


def test_what_is_taken_back_must_be_of_the_same_part() -> None:
    old = _finding(("strength", "deltoid", "right", "3"), "u1")
    other = _finding(("strength", "biceps", "right", "3"), "u1")
    new = _finding(RIGHT)
    assert _heard([old], [new]).says([RIGHT])
    assert not _heard([old, other], [new]).says([RIGHT])
    assert not _heard([old], [old, new]).says([RIGHT])


def test_no_older_finding_is_given_up_unless_it_was_corrected() -> None:
    old, new = _finding(("strength", "deltoid", "right", "3"), "u1"), _finding(RIGHT)
    left = _finding(LEFT)
    corrected = _heard([old], [new])
    assert corrected.in_place_of(_heard([old], [old])) == [old]
    assert corrected.in_place_of(_heard([old], [old, left])) == [left, old]
    added = _heard([], [left])
    assert added.in_place_of(_heard([old], [])) is None
