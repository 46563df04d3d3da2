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
