"""The modified Ashworth scale.

Source: Bohannon RW, Smith MB, Interrater reliability of a modified Ashworth scale of muscle
spasticity, Physical Therapy 1987;67(2):206-207: six levels, only grade 1 has a plus.
"""

from __future__ import annotations

import pytest

GRADES = ["0", "1", "1+", "2", "3", "4"]

FORMS = [
    "modified Ashworth {} in the left arm",
    "left arm modified Ashworth {}",
    "Ashworth {} left arm",
]

OFF_SCALE = [
    *("5", "five", "2+", "two plus", "3+", "1-", "one minus", "1.5", "one point five", "4+", "1++"),
]


def test_grades_and_their_order(grammar) -> None:
    assert list(grammar.scales["ashworth"].grades) == GRADES


@pytest.mark.parametrize("grade", GRADES)
@pytest.mark.parametrize("form", FORMS)
def test_every_grade_typed_and_spoken(hear, spoken, form: str, grade: str) -> None:
    for said in (grade, spoken(grade)):
        record = hear(form.format(said))
        rows = [(f.test, f.site, f.side, f.value) for f in record.findings]
        assert rows == [("tone", "upper_limb", "left", grade)], said
        assert not record.questions


@pytest.mark.parametrize("grade", GRADES)
def test_only_zero_is_normal(hear, grade: str) -> None:
    (finding,) = hear(f"modified Ashworth {grade} in the left arm").findings
    assert finding.normal is (grade == "0")


@pytest.mark.parametrize("said", OFF_SCALE)
@pytest.mark.parametrize("form", FORMS)
def test_nothing_off_the_scale_becomes_a_grade(hear, form: str, said: str) -> None:
    record = hear(form.format(said))
    assert not record.findings
    assert [question.kind for question in record.questions] in (["scale"], ["value"], ["conflict"])


@pytest.mark.parametrize("text", ["tone in the left arm is two plus", "left arm one plus"])
def test_its_grades_count_only_where_it_is_named_or_its_test(hear, text: str) -> None:
    assert not [f for f in hear(text).findings if f.value in {"2+", "1+"} and f.test == "tone"]
