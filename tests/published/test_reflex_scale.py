"""Grades of the tendon reflexes.

Sources: Walker HK, Deep Tendon Reflexes, in Clinical Methods, 3rd ed., 1990, chapter 72 (the common
clinical scale, 0 to 4+, the plus part of the grade); Hallett M, NINDS myotatic reflex scale,
Neurology 1993;43(12):2723 (0 to 4 without plus: the same five steps, so "two" is read as the
second of them and never as something in between).
"""

from __future__ import annotations

import pytest

GRADES = ["0", "1+", "2+", "3+", "4+"]

#: A site that muscles do not have, so the grade needs no other word.
FORMS = [
    "right knee jerk {}",
    "knee jerk on the right {}",
    "right knee reflex is {}",
    "reflexes: right knee {}",
]

OFF_SCALE = [
    "right knee jerk 5+",
    "right knee jerk 5",
    "right knee jerk five plus",
    "right knee jerk 6",
    "right knee jerk 2++",
    "right knee jerk two plus plus",
    "right knee jerk 2+/5",
    "right knee jerk two plus out of five",
    "right knee jerk 2.5",
    "right knee jerk two point five",
    "right knee jerk two and a half",
    "right knee jerk 2-",
    "right knee jerk two minus",
    "right knee jerk -1",
    "right knee jerk minus one",
    "right knee jerk 0+",
    "right knee jerk zero plus",
    "right knee jerk +++++",
]


def test_grades_and_their_order(grammar) -> None:
    assert list(grammar.scales["reflex"].grades) == GRADES


def test_the_reference_table_agrees(grammar, reference) -> None:
    rows = {row["id"]: row for row in reference("scales.yaml")["scales"]}
    common, scale = rows["reflex_common"], grammar.scales["reflex"]
    assert list(scale.grades) == common["order"]
    assert list(scale.normal) == common["normal"]
    assert list(scale.either) == common["may_be_normal"]


@pytest.mark.parametrize("grade", GRADES)
@pytest.mark.parametrize("form", FORMS)
def test_every_grade_typed_and_spoken(hear, spoken, form: str, grade: str) -> None:
    for said in (grade, f"{grade}/4", spoken(grade), f"{spoken(grade)} out of four"):
        record = hear(form.format(said))
        rows = [(f.test, f.site, f.side, f.value) for f in record.findings]
        assert rows == [("stretch_reflex", "knee", "right", grade)], said
        assert not record.questions


@pytest.mark.parametrize("grade", GRADES)
@pytest.mark.parametrize("form", FORMS)
def test_a_bare_number_is_the_grade_with_its_plus(hear, spoken, form: str, grade: str) -> None:
    number = grade.rstrip("+")
    for said in (number, spoken(number)):
        (finding,) = hear(form.format(said)).findings
        assert finding.value == grade


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_counted_plusses(hear, count: int) -> None:
    (finding,) = hear(f"right knee jerk {'+' * count}").findings
    assert finding.value == f"{count}+"


@pytest.mark.parametrize(
    ("grade", "normal"), [("0", False), ("1+", None), ("2+", True), ("3+", None), ("4+", False)]
)
def test_normal_as_walker_has_it(hear, grade: str, normal: bool | None) -> None:
    """1+ and 3+ may or may not be normal; 0 and 4+ never are."""
    (finding,) = hear(f"left ankle jerk {grade}").findings
    assert finding.normal is normal


@pytest.mark.parametrize("text", OFF_SCALE)
def test_nothing_off_the_scale_becomes_a_grade(hear, text: str) -> None:
    record = hear(text)
    assert not record.findings
    assert [question.kind for question in record.questions] in (["scale"], ["value"], ["conflict"])


@pytest.mark.parametrize("text", ["left triceps two plus", "right biceps 2+"])
def test_a_grade_of_two_scales_asks_for_the_test(hear, text: str) -> None:
    record = hear(text)
    assert not record.findings
    assert [question.kind for question in record.questions] == ["test"]
