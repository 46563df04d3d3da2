"""A sign with a list of places is there at each; a list that ends in a value is not this."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.model import OTHER_SIDE, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()


def _said(text: str) -> tuple[set[tuple[str, str | None, str | None, str]], bool]:
    session = Session(GRAMMAR)
    session.take(Utterance("u1", text))
    record = session.record()
    found = {(f.test, f.site, f.side, f.value) for f in record.findings}
    return found, bool(record.questions)


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
    found, asked = _said(said.format(side, other))
    assert found == {(test, first, side, "present"), (test, second, other, "present")}
    assert not asked


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
    found, _ = _said(said)
    assert not {row for row in found if row[2] == "left" and row[3] == "present"}


def test_a_number_under_a_test_without_numbers_is_no_strength() -> None:
    found, asked = _said("Light touch: C6 two on the right, L2 to S1 one")
    assert not found
    assert asked
