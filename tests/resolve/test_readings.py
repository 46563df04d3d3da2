"""Of several ways to hear an utterance the one that is a statement is taken, where that is safe."""

from __future__ import annotations

import pytest

from dictate.model import Hearing, Reading, Utterance, Word
from dictate.session import Session


def words(text: str, unsure: str = "") -> tuple[Word, ...]:
    """Words of 0.3 s, heard surely but for those of ``unsure``."""
    laid, at = [], 0
    for number, word in enumerate(text.split()):
        sure = 0.6 if word in unsure.split() else 1.0
        laid.append(Word(word, at, at + len(word), number * 0.4, number * 0.4 + 0.3, sure, True))
        at += len(word) + 1
    return tuple(laid)


def heard(text: str, unsure: str, *others: tuple[str, float], name: str = "u1") -> Utterance:
    """An utterance that both listeners heard alike, and other ways to hear it."""
    first = words(text, unsure)
    both = tuple(Hearing(listener, text, first) for listener in ("taught", "open"))
    readings = tuple(
        Reading(behind, other, words(other), (), Hearing("taught", other, words(other)))
        for other, behind in others
    )
    return Utterance(
        name, text, 0.0, 0.4 * len(first), first, hearings=both, readings=readings
    )  # fmt: skip


def settle(utterance: Utterance, *before: str) -> str:
    session = Session(alone=True)
    for number, line in enumerate(before):
        session.take(Utterance(f"b{number}", line))
    return session.settle(utterance).text


@pytest.mark.parametrize(
    ("text", "unsure", "other"),
    [
        ("down increased in the left arm", "down", "tone increased in the left arm"),
        ("hip flexes and four on the left", "flexes and", "hip flexion four on the left"),
        ("great five bilaterally", "great", "grip five bilaterally"),
        ("modified ashworth to in the left arm", "to", "modified ashworth two in the left arm"),
    ],
)
def test_what_is_a_statement_is_taken(text, unsure, other):
    assert settle(heard(text, unsure, (other, 1.5))) == other


def test_a_statement_that_lacks_nothing_stands():
    sure = heard("left deltoid four", "", ("left deltoid five", 0.5))
    assert settle(sure) == "left deltoid four"


def test_a_side_that_was_not_said_is_no_reason_to_hear_another_word():
    assert settle(heard("grip five", "grip", ("grips five", 1.0))) == "grip five"


def test_words_that_were_heard_surely_are_not_put_aside():
    text = "down increased in the left arm"
    assert settle(heard(text, "", ("tone increased in the left arm", 1.5))) == text


@pytest.mark.parametrize(
    ("text", "unsure", "other"),
    [
        ("left deltoid four of six", "six", "left deltoid four of sags"),
        ("light touch reduced in the three", "three", "light touch reduced in the feet"),
        ("right deltoid zero to one", "to", "right deltoid zero toe one"),
        ("abnormal pinprick right", "abnormal", "normal pinprick right"),
    ],
)
def test_a_number_a_range_or_an_opposite_is_not_put_aside(text, unsure, other):
    assert settle(heard(text, unsure, (other, 0.5))) == text


def test_two_statements_that_say_otherwise_settle_nothing():
    text = "jill normal right arm"
    both = heard(text, "jill", ("tone normal right arm", 0.3), ("bulk normal right arm", 0.6))
    assert settle(both) == text


def test_a_finding_of_the_first_is_never_lost():
    text = "tone normal both legs gate"
    other = "done normal both legs gait normal"
    assert settle(heard(text, "tone gate", (other, 0.5))) == text


def test_no_record_holds_other_readings():
    session = Session(alone=True)
    session.hear(
        heard("down increased in the left arm", "down", ("tone increased in the left arm", 1.0))
    )
    (utterance,) = session.record().utterances
    assert utterance.text == "tone increased in the left arm"
    assert utterance.readings == ()
    assert utterance.hearings[0].text == "down increased in the left arm"
    assert [f.test for f in session.record().findings] == ["tone"]


def test_what_one_listener_heard_alone_stands():
    first = words("down increased in the left arm", "down")
    other = "tone increased in the left arm"
    reading = Reading(1.0, other, words(other), (), Hearing("taught", other, words(other)))
    alone = Utterance("u1", "down increased in the left arm", 0.0, 2.0, first, readings=(reading,))
    assert settle(alone) == "down increased in the left arm"
