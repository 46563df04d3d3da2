"""MRC grades of muscle power.

Sources: Medical Research Council, Aids to the Examination of the Peripheral Nervous System,
Memorandum no. 45, 1976 (0 to 5); editions of 2000 and 2010 (4-, 4, 4+); Phys Med Rehabil Clin N Am
2012;23(3):475-493, table 4 (3-, 3+, 5-); 1+, 2-, 2+: common practice, no source.
"""

from __future__ import annotations

import pytest

#: Weakest first, restated from the sources above.
WHOLE = ["0", "1", "2", "3", "4", "5"]
EXPANDED = ["0", "1", "2", "3-", "3", "3+", "4-", "4", "4+", "5-", "5"]
PRACTICE = ["0", "1", "1+", "2-", "2", "2+", "3-", "3", "3+", "4-", "4", "4+", "5-", "5"]

TYPED = ["right deltoid {}", "right deltoid {}/5", "right deltoid {} of 5", "{}/5 right deltoid"]
SPOKEN = [
    "right deltoid {} out of five",
    "right deltoid {}",
    "deltoid on the right {} over five",
    "strength in the right deltoid is {} of five",
]

#: On no list of any of the sources.
OFF_SCALE = [
    "right deltoid 6/5",
    "right deltoid 6",
    "right deltoid six out of five",
    "right deltoid 5+",
    "right deltoid 5+/5",
    "right deltoid five plus out of five",
    "right deltoid 4++",
    "right deltoid 4++/5",
    "right deltoid 4 plus plus",
    "right deltoid four plus plus",
    "right deltoid 4+-",
    "right deltoid four plus minus",
    "right deltoid 0-",
    "right deltoid zero minus",
    "right deltoid 0+",
    "right deltoid zero plus",
    "right deltoid 3.5",
    "right deltoid 3.5/5",
    "right deltoid three point five",
    "right deltoid three and a half",
    "right deltoid 4/10",
    "right deltoid four out of ten",
    "right deltoid 4 of 6",
    "right deltoid 55",
    "right deltoid -1",
    "right deltoid minus one",
    "right deltoid 1-",
    "right deltoid one minus out of five",
]


def test_grades_and_their_order(grammar) -> None:
    assert list(grammar.scales["mrc"].grades) == PRACTICE
    assert [g for g in grammar.scales["mrc"].grades if g in WHOLE] == WHOLE
    assert [g for g in grammar.scales["mrc"].grades if g in EXPANDED] == EXPANDED


def test_order_of_the_reference_table(grammar, reference) -> None:
    rows = {row["id"]: row for row in reference("scales.yaml")["scales"]}
    split = rows["mrc_power_plus_minus"]
    grades = list(grammar.scales["mrc"].grades)
    assert grades == split["order_with_practice_grades"]
    ranks = [split["rank"][grade] for grade in grades if grade in split["rank"]]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize("grade", PRACTICE)
@pytest.mark.parametrize("form", TYPED)
def test_every_grade_typed(hear, form: str, grade: str) -> None:
    record = hear(form.format(grade))
    rows = [(f.test, f.site, f.side, f.value) for f in record.findings]
    assert rows == [("strength", "deltoid", "right", grade)]
    assert not record.questions


@pytest.mark.parametrize("grade", PRACTICE)
@pytest.mark.parametrize("form", SPOKEN)
def test_every_grade_spoken(hear, spoken, form: str, grade: str) -> None:
    record = hear(form.format(spoken(grade)))
    rows = [(f.test, f.site, f.side, f.value) for f in record.findings]
    assert rows == [("strength", "deltoid", "right", grade)]
    assert not record.questions


@pytest.mark.parametrize("grade", PRACTICE)
def test_only_five_is_normal(hear, grade: str) -> None:
    (finding,) = hear(f"left biceps {grade}/5").findings
    assert finding.normal is (grade == "5")


@pytest.mark.parametrize("text", OFF_SCALE)
def test_nothing_off_the_scale_becomes_a_grade(hear, text: str) -> None:
    record = hear(text)
    assert not record.findings
    assert [question.kind for question in record.questions] in (["scale"], ["value"], ["conflict"])


@pytest.mark.parametrize("text", OFF_SCALE)
def test_what_is_off_the_scale_in_a_list_leaves_the_others(hear, text: str) -> None:
    record = hear("left triceps four out of five", text, "left biceps five out of five")
    rows = {(f.test, f.site, f.side, f.value) for f in record.findings}
    assert rows == {("strength", "triceps", "left", "4"), ("strength", "biceps", "left", "5")}


@pytest.mark.parametrize("text", ["right deltoid 3-4/5", "right deltoid three to four out of five"])
def test_a_range_is_no_grade(hear, text: str) -> None:
    record = hear(text)
    assert not record.findings
    assert [question.kind for question in record.questions] == ["value"]
