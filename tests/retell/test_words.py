"""Findings as words and back, and what is not a finding."""

from __future__ import annotations

from dictate.retell.lines import Line, straight, turned
from dictate.retell.words import ASK, NOTHING, alphabet, read, told

ROWS = [
    ("strength", "deltoid", "right", "4+"),
    ("strength", "deltoid", "left", "4+"),
    ("pupil_size", None, "left", "3.5 mm"),
    ("gait", None, None, "normal"),
]


def test_findings_come_back_as_they_were_told() -> None:
    words = told(ROWS, False, ["normal"])
    assert [one.row for one in read(words)] == ROWS


def test_the_same_of_both_sides_is_told_once() -> None:
    assert sum(word.startswith("test:") for word in told(ROWS[:2], False, ["4+"])) == 1
    apart = [ROWS[0], ("strength", "deltoid", "left", "5")]
    assert sum(word.startswith("test:") for word in told(apart, False, ["4+", "5"])) == 2


def test_a_line_without_findings_says_so_and_a_question_stands_at_the_end() -> None:
    assert told([], False, []) == [NOTHING]
    assert told(ROWS[3:], True, ["normal"])[-1] == ASK
    assert [one.row for one in read(told(ROWS[3:], True, ["normal"]))] == ROWS[3:]


def test_half_a_finding_is_none() -> None:
    whole = told(ROWS[3:], False, ["normal"])
    assert read(whole[:-1]) == []
    assert read([*whole[:-1], *whole]) and len(read([*whole[:-1], *whole])) == 1


def test_the_alphabet_spells_what_comes_seldom() -> None:
    words, whole = alphabet(ROWS * 3, 4)
    assert whole == ["4+"]
    assert set(told(ROWS, True, whole)) <= set(words)


def test_a_line_that_begins_with_the_left_is_mirrored_and_back() -> None:
    line, mirrored = straight(Line(("Right arm first.",), "Left deltoid four, right five."))
    assert mirrored
    assert line.text == "right deltoid four, left five."
    assert line.before == ("left arm first.",)
    assert turned(turned(ROWS[0])) == ROWS[0]
    assert not straight(Line((), "Right deltoid four."))[1]
    assert not straight(Line((), "Left deltoid 4, R 5."))[1], "R may be a side or something else"
