"""Real talk gives no finding; what the examiner states in it is recorded, asked about or kept."""

from __future__ import annotations

import pytest

from . import talk

if not talk.NEGATIVE.is_file() or not talk.EXAM.is_file():
    pytest.skip("the real dialogues are not beside this checkout", allow_module_level=True)

#: Most questions in 1,000 words of talk; a user with full hands hears each of them.
MOST_QUESTIONS, MOST_IN_EXAMS = 1.1, 3.7
#: The examiners' statements that must be recorded, and that must be recorded or asked about. What
#: only one of the two readers finds is asked: with the first alone 34 are recorded, and 68 in all.
LEAST_RIGHT, LEAST_RIGHT_OR_ASKED = 18, 68


@pytest.fixture(scope="module")
def negative() -> list:
    return talk.turns(talk.NEGATIVE)


@pytest.fixture(scope="module")
def exams() -> list:
    return talk.turns(talk.EXAM)


def test_talk_without_an_examination_gives_no_finding(negative: list) -> None:
    assert not [(t.dialogue, t.number, talk.row(f)) for t in negative for f in t.findings]


def test_talk_asks_little(negative: list, exams: list) -> None:
    assert talk.per_thousand(negative) <= MOST_QUESTIONS
    assert talk.per_thousand(exams) <= MOST_IN_EXAMS


def test_only_the_examiners_turns_give_findings(exams: list) -> None:
    judged = talk.score(exams, talk.marked_turns(), talk.read_gold())
    assert not judged.outside
    assert not judged.contradicted


def test_the_examiners_statements_are_recorded_or_asked_about(exams: list) -> None:
    judged = talk.score(exams, talk.marked_turns(), talk.read_gold())
    assert judged.right >= LEAST_RIGHT
    assert judged.right + judged.asked >= LEAST_RIGHT_OR_ASKED
