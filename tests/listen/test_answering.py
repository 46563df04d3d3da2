"""What is an answer and what is a statement, on questions that narrations open."""

from __future__ import annotations

import contextlib

import pytest

from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.interpret.reader import reader_of
from dictate.model import Finding, Question, Utterance, Word
from dictate.resolve.answering import answer_in, is_curt
from dictate.session import Session

GRAMMAR = load_grammar()
READER = reader_of(GRAMMAR)


def opened(*said: str, unsure: str = "") -> tuple[Session, Question]:
    """A session in which the last statement opened a question."""
    session = Session(GRAMMAR)
    for text in said:
        words = ()
        if unsure:
            start = text.index(unsure)
            words = (Word(unsure, start, start + len(unsure), None, None, 0.2),)
        session.hear(Utterance("u1", text, words=words))
    (question,) = session.record().questions
    return session, question


def given(session: Session, question: Question, text: str) -> set[tuple[str | None, ...]] | None:
    """What an answer adds, or None where it is none."""
    words = answer_in(Utterance("u2", text), question, READER, GRAMMAR)
    if words is None:
        return None
    return {_short(finding) for finding in session.answer(question.id, words).added}


def _short(finding: Finding) -> tuple[str | None, ...]:
    return finding.site, finding.side, finding.value


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("left", {"left"}),
        ("Left.", {"left"}),
        ("the left", {"left"}),
        ("um, on the left please", {"left"}),
        ("it was the right side", {"right"}),
        ("both", {"right", "left"}),
        ("both sides", {"right", "left"}),
        ("bilaterally", {"right", "left"}),
    ],
)
def test_a_side_alone_answers_a_question_of_side(text: str, sides: set[str]) -> None:
    session, question = opened("deltoid four plus")
    assert question.kind == "side"
    assert given(session, question, text) == {("deltoid", side, "4+") for side in sides}


@pytest.mark.parametrize(
    "text",
    [
        "right deltoid four",
        "left biceps",
        "left four",
        "no, the left",
        "left. right.",
        "right or left",
        "not the left",
        "i think left",
        "left leg now",
        "reflexes",
        "close your eyes",
        "left arm",
        "four plus",
        "what is missing",
    ],
)
def test_what_says_more_than_a_side_or_doubts_is_a_statement(text: str) -> None:
    session, question = opened("deltoid four plus")
    before = session.record()
    assert given(session, question, text) is None
    assert session.record() == before


@pytest.mark.parametrize(
    ("text", "value"),
    [("four plus", "4+"), ("for plus", "4+"), ("four", "4"), ("five out of five", "5")],
)
def test_a_value_alone_answers_a_question_of_value(text: str, value: str) -> None:
    session, question = opened("right deltoid is, um")
    assert question.kind == "value"
    assert given(session, question, text) == {("deltoid", "right", value)}


@pytest.mark.parametrize("text", ["left biceps four", "biceps", "left", "right four", "a bit"])
def test_what_is_no_value_alone_answers_nothing(text: str) -> None:
    _, question = opened("right deltoid is, um")
    assert answer_in(Utterance("u2", text), question, READER, GRAMMAR) is None


@pytest.mark.parametrize("text", ["nine", "three to four"])
def test_a_value_that_the_scale_does_not_have_gives_no_finding(text: str) -> None:
    session, question = opened("right deltoid is, um")
    words = answer_in(Utterance("u2", text), question, READER, GRAMMAR)
    assert words is not None
    with contextlib.suppress(UsageError):
        session.answer(question.id, words)
    assert not session.record().findings
    assert session.record().questions


def test_a_place_alone_answers_where() -> None:
    session, question = opened("four out of five on the left")
    assert question.kind == "site"
    assert given(session, question, "at the deltoid") == {("deltoid", "left", "4")}


def test_the_name_of_a_test_answers_which_test() -> None:
    session, question = opened("right biceps two")
    assert question.kind == "test"
    assert given(session, question, "reflex") == {("biceps", "right", "2+")}
    assert session.record().findings[0].test == "stretch_reflex"


def test_a_number_answers_with_its_value_and_not_as_the_number_of_a_choice() -> None:
    session, question = opened("right deltoid two", "right deltoid one")
    assert question.kind == "conflict"
    assert [choice.label for choice in question.choices] == ["2", "1", "none of these"]
    assert given(session, question, "two") == {("deltoid", "right", "2")}


@pytest.mark.parametrize(
    ("text", "added"), [("yes", 1), ("that's right", 1), ("no", 0), ("wrong", 0)]
)
def test_yes_and_no_answer_whether_it_was_heard_right(text: str, added: int) -> None:
    session, question = opened("right deltoid four", unsure="right")
    assert question.kind == "heard"
    found = given(session, question, text)
    assert found is not None and len(found) == added
    assert not session.record().questions


def test_right_is_no_yes() -> None:
    """It may be the side that was asked about."""
    _, question = opened("left deltoid four", unsure="left")
    for text in ("right", "left"):
        utterance = Utterance("u2", text)
        assert answer_in(utterance, question, READER, GRAMMAR) is None
        assert is_curt(utterance, question, READER)
    assert not is_curt(Utterance("u2", "gait is normal"), question, READER)


@pytest.mark.parametrize("text", ["skip", "skip it please", "leave it open"])
def test_every_question_can_be_passed_over(text: str) -> None:
    for said in (["deltoid four plus"], ["right biceps two"], ["right deltoid is, um"]):
        session, question = opened(*said)
        assert given(session, question, text) == set()
        assert [change.what for change in session.record().history] == ["skipped"]


def test_every_choice_with_a_finding_can_be_said() -> None:
    """Whatever a question of the grammar's examples offers, its label is an answer to it."""
    asked = 0
    for area in GRAMMAR.areas:
        for example in area.examples:
            session = Session(GRAMMAR)
            for text in (*example.before, example.say):
                session.hear(Utterance("u1", text))
            for question in session.record().questions:
                if question.kind not in {"side", "scale", "conflict"}:
                    continue
                for choice in question.choices:
                    if not choice.findings:
                        continue
                    asked += 1
                    words = answer_in(Utterance("u2", choice.label), question, READER, GRAMMAR)
                    assert words is not None, (example.say, question.prompt, choice.label)
    assert asked > 50
