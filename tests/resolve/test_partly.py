"""What is partly a question is not said again of something else."""

from __future__ import annotations

import pytest

from .narrated import record_of, rows


@pytest.mark.parametrize("again", ["Pinprick the same.", "PP same", "Vibration likewise."])
def test_another_test_the_same_is_asked_about(again: str) -> None:
    record = record_of(
        "LT reduced over the blorb of the foot on the right, the rest intact.", again
    )
    assert {row.split()[0] for row in rows(record)} <= {"light_touch"}
    about = {place.utterance for question in record.questions for place in question.about}
    assert about == {"u1", "u2"}


def test_the_other_side_of_it_is_asked_about() -> None:
    record = record_of("Right arm: deltoid four, biceps about four or five.", "Left the same.")
    assert rows(record) == {"strength deltoid right 4"}
    assert len(record.questions) == 2


def test_what_was_found_whole_is_said_again() -> None:
    record = record_of("Light touch reduced in the right foot.", "Pinprick the same.")
    assert rows(record) == {"light_touch foot right reduced", "pinprick foot right reduced"}


def test_what_is_changed_at_once_is_asked_about() -> None:
    record = record_of(
        "Light touch is reduced up to mid calf on both sides.",
        "Pin the same but a little higher, up to the knees.",
    )
    assert {row.split()[0] for row in rows(record)} == {"light_touch"}
    assert record.questions
