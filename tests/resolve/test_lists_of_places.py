"""A sign with a list of places is there at each; a list that ends in a value is not this."""

from __future__ import annotations

import pytest

from dictate.model import OTHER_SIDE

from .narrated import findings, record_of


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(
    ("said", "test", "first", "second"),
    [
        ("Fasciculations in the {0} thigh, {1} calf", "fasciculations", "thigh", "calf"),
        ("Myoclonus of the {0} arm, {1} leg", "myoclonus", "upper_limb", "lower_limb"),
        ("Sensory level T10 on the {0}, T11 on the {1}", "sensory_level", "t10", "t11"),
        ("Sensory level: T5 {0}, T4 {1}", "sensory_level", "t5", "t4"),
        ("Contracture of the {0} elbow, {1} knee", "contracture", "elbow", "knee"),
    ],
)
def test_a_sign_is_at_each_place(said: str, test: str, first: str, second: str, side: str) -> None:
    other = OTHER_SIDE[side]
    record = record_of(said.format(side, other))
    assert findings(record) == {(test, first, side, "present"), (test, second, other, "present")}
    assert not record.questions


@pytest.mark.parametrize(
    "said",
    [
        "Tremor of the right hand, left hand normal",
        "Tremor of the right hand, left hand four plus",
        "Possible fasciculations in the right thigh, left calf",
        "Tremor: right hand, left hand none",
    ],
)
def test_a_place_with_a_value_of_its_own_has_not_the_sign(said: str) -> None:
    found = findings(record_of(said))
    assert not {row for row in found if row[2] == "left" and row[3] == "present"}


def test_a_number_under_a_test_without_numbers_is_no_strength() -> None:
    record = record_of("Light touch: C6 two on the right, L2 to S1 one")
    assert not record.findings
    assert record.questions
