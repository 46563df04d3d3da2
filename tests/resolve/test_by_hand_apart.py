"""What is typed between two spoken statements takes no spoken correction upon itself."""

from __future__ import annotations

import pytest

from dictate.model import Utterance
from dictate.session import Session


def spoken(session, number, text):
    session.hear(Utterance(f"u{number}", text, float(number), number + 0.9))


@pytest.mark.parametrize(
    "correction, value",
    [
        ("no, make that three out of five", "3"),
        ("correction, three", "3"),
        ("take that back", None),
    ],
)
def test_a_spoken_correction_is_of_what_was_spoken(correction, value):
    session = Session(alone=True)
    spoken(session, 1, "right biceps four out of five")
    session.hear_apart(Utterance("h1", "left triceps jerk brisk", hand="added"))
    spoken(session, 2, correction)
    found = {(f.test, f.site, f.side): f.value for f in session.record().findings}
    assert found.get(("strength", "biceps", "right")) == value
    assert found[("stretch_reflex", "triceps", "left")] == "brisk"


def test_a_typed_question_is_not_answered_by_a_spoken_correction():
    session = Session(alone=True)
    spoken(session, 1, "right biceps four out of five")
    session.hear_apart(Utterance("h1", "knee jerk two plus", hand="added"))
    spoken(session, 2, "no, the left")
    found = {(f.test, f.site, f.side): f.value for f in session.record().findings}
    assert ("stretch_reflex", "knee", "left") not in found
    assert found == {("strength", "biceps", "left"): "4"}


def findings_and_prompts(session):
    record = session.record()
    return {(f.test, f.site, f.side, f.value) for f in record.findings}, record.questions


@pytest.mark.parametrize(
    "typed",
    [
        "last year the left ankle jerk was absent",
        "the left ankle jerk used to be absent",
        "his brother has a left facial droop",
    ],
)
def test_what_one_reader_alone_makes_of_a_typed_statement_is_asked(typed):
    session = Session()
    session.hear_apart(Utterance("h1", typed, hand="added"))
    found, asked = findings_and_prompts(session)
    assert not found
    assert [place.utterance for question in asked for place in question.about] == ["h1"]


def test_what_both_readers_make_of_a_typed_statement_is_recorded():
    session = Session()
    spoken(session, 1, "right biceps four out of five")
    session.hear_apart(Utterance("h1", "left deltoid four plus", hand="added"))
    found, asked = findings_and_prompts(session)
    assert ("strength", "deltoid", "left", "4+") in found and not asked


def test_who_tells_it_is_no_doubt_of_what_is_marked_as_a_finding():
    session = Session()
    session.hear_meant(Utterance("u1", "he says his left biceps is five"))
    found, asked = findings_and_prompts(session)
    assert found == {("strength", "biceps", "left", "5")} and not asked
