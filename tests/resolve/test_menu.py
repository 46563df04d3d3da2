"""What is typed or said to choose: a value means the value, and a mark is no value and no side."""

from __future__ import annotations

from string import ascii_lowercase

import pytest

from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.interpret.reader import reader_of
from dictate.listen.replies import choice_words
from dictate.model import Choice, Disputed, Finding, Hearing, Question, Utterance
from dictate.resolve.answering import answer_in
from dictate.resolve.menu import answer_of, in_todays_words, marks, menu_lines
from dictate.session import Session

GRAMMAR = load_grammar()
READER = reader_of(GRAMMAR)

#: Statements of which each opens a question, of as many kinds as typed text can.
ASKED = [
    "deltoid four of five",
    "right biceps two",
    "five on the left",
    "right deltoid is",
    "right ankle jerk present",
    "right deltoid six of five",
    "biceps 5/4+",
    "right biceps 5/5, right biceps 2/5",
    "right knee jerk two plus, right knee jerk three plus",
    "gait normal, gait ataxic?",
    "right deltoid",
]


def opened(text: str) -> tuple[Session, Question]:
    session = Session(GRAMMAR, alone=True)
    session.hear(Utterance("u1", text))
    return session, session.record().questions[0]


def disputed() -> tuple[Session, Question]:
    """Two listeners: the question has sentences to choose from."""
    text = "left deltoid four"
    hearings = (Hearing("taught", text), Hearing("open", text))
    stretch = Disputed(0, 4, "right", "open")
    session = Session(GRAMMAR, alone=True)
    session.hear(Utterance("u1", text, 0.0, 1.0, hearings=hearings, disputed=(stretch,)))
    return session, session.record().questions[0]


def values(session: Session) -> list[tuple[str | None, str]]:
    return [(finding.side, finding.value) for finding in session.record().findings]


@pytest.mark.parametrize("text", ASKED)
def test_no_mark_is_a_number_or_the_beginning_of_a_side(text):
    """And the grammar reads none of them as anything that a statement has."""
    _, question = opened(text)
    named = [mark for mark in marks(question, GRAMMAR) if mark]
    assert len(named) == len(set(named)) and set(named) <= set(ascii_lowercase) - {"l", "r"}
    for mark in named:
        said = READER.read(Utterance("u", mark)).sentences
        assert all(not s.statements or s.statements[0].empty for s in said), mark
    shown = menu_lines(question, GRAMMAR)
    assert not [c for c in question.choices if not any(c.label in line for line in shown)]


@pytest.mark.parametrize(
    ("typed", "left"), [("5", [("right", "5")]), ("2", [("right", "2")]), ("2/5", [("right", "2")])]
)
def test_of_five_and_two_a_number_is_the_grade(typed, left):
    session, question = opened("right biceps 5/5, right biceps 2/5")
    assert menu_lines(question, GRAMMAR) == ["5, 2, none of these"]
    session.answer(question.id, typed)
    assert values(session) == left


@pytest.mark.parametrize("typed", ["1", "3", "4+"])
def test_of_five_and_two_another_grade_is_no_choice(typed):
    """The first and the second choice have no number."""
    session, question = opened("right biceps 5/5, right biceps 2/5")
    with pytest.raises(UsageError):
        session.answer(question.id, typed)
    assert values(session) == [] and session.record().questions == (question,)


def test_a_number_is_never_the_place_of_a_choice():
    """Whatever comes of it is that grade: of a pair, of two tests, of two readings."""
    for session, question in (opened("biceps 5/4+"), opened("right biceps two"), disputed()):
        for typed in "12":
            try:
                added = session.answer(question.id, typed).added
            except UsageError:
                continue
            assert {f.value.rstrip("+") for f in added} <= {typed}


@pytest.mark.parametrize(("typed", "sides"), [("a", ["left"]), ("B.", ["right"]), ("c", [])])
def test_choices_that_are_sentences_have_letters(typed, sides):
    session, question = disputed()
    assert [line[:3] for line in menu_lines(question, GRAMMAR)] == ["a  ", "b  ", "c  "]
    session.answer(question.id, typed)
    assert [f.side for f in session.record().findings] == sides
    assert not session.record().questions


@pytest.mark.parametrize(
    ("typed", "sides"), [("l", ["left"]), ("R", ["right"]), ("b", ["right", "left"])]
)
def test_a_side_is_answered_by_its_first_letter(typed, sides):
    session, question = opened("deltoid four of five")
    assert menu_lines(question, GRAMMAR) == ["right, left, both, none of these"]
    session.answer(question.id, typed)
    assert [f.side for f in session.record().findings] == sides


@pytest.mark.parametrize(("typed", "test"), [("a", "strength"), ("b", "stretch_reflex")])
def test_a_test_is_answered_by_its_mark(typed, test):
    session, question = opened("right biceps two")
    session.answer(question.id, typed)
    assert [f.test for f in session.record().findings] == [test]


def test_a_letter_that_is_no_mark_is_no_answer():
    session, question = disputed()
    for typed in ("d", "l", "z"):
        with pytest.raises(UsageError) as fault:
            session.answer(question.id, typed)
        assert "a (" in str(fault.value)
    assert session.record().questions == (question,)


# ---- aloud


def test_the_screen_of_a_dictation_says_how_to_choose():
    _, question = disputed()
    first, second, third = choice_words(question, GRAMMAR)
    assert first.startswith("“the first” (") and second.startswith("“the second” (")
    assert "neither" in third
    _, question = opened("right biceps 5/5, right biceps 2/5")
    assert choice_words(question, GRAMMAR) == ["5", "2", "none of these"]


@pytest.mark.parametrize(
    ("said", "sides"),
    [
        ("the first", ["left"]),
        ("the second one please", ["right"]),
        ("the third", []),
        ("neither", []),
    ],
)
def test_a_choice_can_be_named_by_its_place(said, sides):
    session, question = disputed()
    words = answer_in(Utterance("u2", said), question, READER, GRAMMAR)
    assert words is not None
    session.answer(question.id, words)
    assert [f.side for f in session.record().findings] == sides


@pytest.mark.parametrize("said", ["the fourth", "two", "the first toe", "second digit"])
def test_what_names_no_choice_by_its_place(said):
    _, question = disputed()
    assert answer_in(Utterance("u2", said), question, READER, GRAMMAR) is None


def test_places_count_marks_alone():
    """A value among the choices is said by itself and has no place."""
    finding = Finding("gait", None, None, "normal", normal=True)
    other = Finding("gait", None, None, "ataxic", normal=False)
    choices = (Choice("normal", (finding,)), Choice("ataxic at the turns", (other,)))
    question = Question("q1", "value", (), "Gait?", choices)
    assert marks(question, GRAMMAR) == ("", "a")
    words = answer_in(Utterance("u2", "the first"), question, READER, GRAMMAR)
    assert words == "ataxic at the turns"


# ---- earlier journals


@pytest.mark.parametrize(
    ("text", "words", "today"),
    [
        ("deltoid four of five", "2", "left"),
        ("right biceps two", "1", "strength"),
        ("right deltoid is", "2", "2"),
        ("right biceps 5/5, right biceps 2/5", "2", "2"),
        ("deltoid four of five", "7", "7"),
        ("deltoid four of five", "left", "left"),
    ],
)
def test_a_number_in_an_earlier_journal_is_the_choice_that_it_was(text, words, today):
    _, question = opened(text)
    assert in_todays_words(question, GRAMMAR, words) == today


def test_two_choices_of_one_label_are_told_apart_by_their_marks():
    question = Question("q1", "heard", (), "Which?", (Choice("so"), Choice("so"), Choice("else")))
    assert [answer_of(question, GRAMMAR, n) for n in range(3)] == ["a", "b", "else"]
