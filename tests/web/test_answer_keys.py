"""No key of an answer can be taken for another answer: a digit is a grade, r and l are sides."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.model import Choice, Question, Utterance
from dictate.session import Session
from dictate.web.answer_keys import KEPT, answer_keys


def keyed(*labels, kind="value"):
    question = Question("q1", kind, (), "?", tuple(Choice(label) for label in labels))
    choices, others = answer_keys(question, load_grammar())
    return {key.label: key.key for key in choices}, {key.label: key.key for key in others}


def test_sides_and_grades_are_answered_by_themselves():
    assert keyed("right", "left", "both", kind="side")[0] == {
        "right": "r",
        "left": "l",
        "both": "b",
    }
    assert keyed("0", "3", "5")[0] == {"0": "0", "3": "3", "5": "5"}


def test_a_digit_is_no_key_where_it_may_be_another_grade():
    choices, _ = keyed("4", "4+", "5")
    assert choices["5"] == "5"
    assert not choices["4"].isdigit() and not choices["4+"].isdigit()


def test_a_no_is_no_other_answer():
    choices, others = keyed("yes", "no", kind="heard")
    assert (choices["yes"], choices["no"]) == ("y", "n")
    assert "n" not in others.values() and "y" not in others.values()


SAID = ["Knee jerk three plus.", "Vibration is, um.", "Right biceps two.", "Deltoid six of five.",
     "Four out of five on the left.", "Same on the other side.", "Right deltoid one to two.",
     "Glasgow coma scale fourteen: eyes four, verbal four, motor five."]  # fmt: skip


@pytest.mark.parametrize("said", SAID)
def test_every_key_means_one_answer(said):
    session = Session()
    session.take(Utterance("u1", said))
    (question,) = session.record().questions[:1]
    choices, others = answer_keys(question, session.grammar)
    keys = [key.key for key in (*choices, *others) if key.key]
    assert len(keys) == len(set(keys)) and not set(keys) & set(KEPT)
    for key in (*choices, *others):
        if key.key.isdigit() or key.key in "rl":
            assert key.label.startswith(key.key)
    assert "not sure" in {key.label for key in others}


@pytest.mark.parametrize("said", SAID)
def test_each_answer_that_is_shown_is_taken(said):
    session = Session()
    session.take(Utterance("u1", said))
    (question,) = session.record().questions
    for key in (part for row in answer_keys(question, session.grammar) for part in row):
        session.twin().answer(question.id, key.words)  # raises where it is no answer
