"""What sounds like its opposite is asked about where sound was heard, and only there."""

from __future__ import annotations

import pytest

from dictate.model import Hearing, Utterance, Word
from dictate.session import Session


def heard(text: str, confidence: float = 1.0) -> Utterance:
    words, at = [], 0
    for number, word in enumerate(text.split()):
        words.append(Word(word, at, at + len(word), number * 0.4, number * 0.4 + 0.3, confidence))
        at += len(word) + 1
    both = tuple(Hearing(name, text, tuple(words)) for name in ("taught", "open"))
    return Utterance("u1", text, 0.0, 0.4 * len(words), tuple(words), hearings=both)


def record_of(utterance: Utterance):
    session = Session(alone=True)
    session.take(utterance)
    return session.record()


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("pupils and equal", "unequal"),
        ("gait and steady", "unsteady"),
        ("light touch normally left hand pinprick reduced and left foot", "normal in"),
        ("ankle dorsiflexors three on the right into on the left", "and two"),
        ("there were no frontal signs are grasp reflex noted", "or grasp"),
    ],
)
def test_the_other_reading_is_a_choice(text, other):
    record = record_of(heard(text))
    said = text.split()[0]
    assert not [f for f in record.findings if f.test.startswith(said)]
    (question,) = [q for q in record.questions if q.kind == "heard"]
    assert other in question.prompt


@pytest.mark.parametrize("text", ["pupils equal and reactive", "gait steady", "gait normal"])
def test_a_joining_word_that_joins_is_left_alone(text):
    record = record_of(heard(text))
    assert record.findings and not record.questions


@pytest.mark.parametrize(
    "text",
    ["reflexes no", "oriented to person place or time", "oriented to person place are time"],
)
def test_a_word_that_may_be_another_leaves_no_finding(text):
    record = record_of(heard(text))
    assert not [f for f in record.findings if f.value == "absent" or f.site in ("place", "time")]
    assert [q.kind for q in record.questions] == ["heard"]


@pytest.mark.parametrize(
    ("text", "found"),
    [("no drift or tremor", 2), ("clonus no", 1), ("reflexes are biceps two plus on the left", 1)],
)
def test_and_one_that_has_its_work_to_do_is_not_asked_about(text, found):
    record = record_of(heard(text))
    assert (len(record.findings), record.questions) == (found, ())


def test_what_may_be_denied_is_a_choice():
    record = record_of(heard("pinprick reduced in the left hand out in the foot"))
    assert [(f.site, f.value) for f in record.findings] == [("hand", "reduced")]
    (question,) = record.questions
    assert "not in the foot" in question.prompt


def test_typed_words_mean_what_they_say():
    record = record_of(Utterance("u1", "gait and steady"))
    assert not [q for q in record.questions if q.kind == "heard"]


def test_an_unsure_word_beside_a_finding_is_asked_about():
    text = "foo deltoid four on the left"
    assert [q.kind for q in record_of(heard(text, 0.5)).questions] == ["heard"]
    assert [f.site for f in record_of(heard(text)).findings] == ["deltoid"]


@pytest.mark.parametrize(
    ("text", "site"),
    [
        ("left wrist extensors to finger extensors one", "wrist extensors"),
        ("right knee to ankle three", "knee"),
        ("left deltoid four grip for on the right", "grip"),
    ],
)
def test_a_word_like_a_number_behind_a_site_may_be_its_grade(text, site):
    record = record_of(heard(text))
    assert site in " ".join(q.prompt for q in record.questions if q.kind == "heard")


@pytest.mark.parametrize(
    "text",
    [
        "light touch reduced in the feet to the knees",
        "pinprick reduced from the toes to the ankles",
    ],
)
def test_a_range_of_places_is_left_alone(text):
    record = record_of(heard(text))
    assert record.findings and not record.questions
