"""A test named again for the other side, after a part of the body: which part is asked."""

from __future__ import annotations

import pytest

from .narrated import record_of, rows


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("Tone increased in the left leg. Tone on the right normal.",
         {"tone lower_limb left increased"}),
        ("Power four in the left arm. Power on the right five.", {"strength upper_limb left 4"}),
    ],
)  # fmt: skip
def test_the_place_on_the_other_side_is_asked(line: str, found: set[str]) -> None:
    record = record_of(line)
    assert rows(record) == found and [q.kind for q in record.questions] == ["site"]


def test_all_of_a_side_is_no_part() -> None:
    record = record_of("Power four in the left arm. Power on the right five throughout.")
    assert rows(record) == {"strength upper_limb left 4", "strength all right 5"}
    assert not record.questions


def test_a_heading_ends_where_another_test_was_found() -> None:
    record = record_of(
        "Proprioception: right thumb absent.",
        "Stereognosis right hand impaired, he had it down as a spoon. Left hand normal.",
    )
    assert rows(record) == {"joint_position thumb right absent", "stereognosis - right impaired"}
    assert record.questions


def test_for_the_same_repeats_nothing() -> None:
    record = record_of("Biceps jerk one plus on the right, two plus on the left for the same.")
    assert rows(record) == {"stretch_reflex biceps right 1+", "stretch_reflex biceps left 2+"}
