"""Totals of muscle grades.

Sources: Kleyweg RP, van der Meche FGA, Schmitz PIM, Muscle & Nerve 1991;14(11):1103-1109 (six
movements on both sides, 0 to 60); Rupp R and others, International Standards for Neurological
Classification of Spinal Cord Injury: Revised 2019, Top Spinal Cord Inj Rehabil 2021;27(2):1-22
(five key muscles a limb: 25, 50 for the arms or the legs, 100 in all). Worked rows are restated;
"whole grades only" and "no total with an item missing" are the common reading of both.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from dictate.model import Finding, Record
from dictate.render.scores import Score, isncsci_motor, mrc_sum

MOVEMENTS = [
    "shoulder abduction",
    "elbow flexion",
    "wrist extension",
    "hip flexion",
    "knee extension",
    "ankle dorsiflexion",
]
ARM = ["elbow flexors", "wrist extensors", "elbow extensors", "finger flexors", "finger abductors"]
LEG = [
    "hip flexors",
    "knee extensors",
    "ankle dorsiflexors",
    "great toe extension",
    "plantarflexors",
]

Grades = Sequence[int | str | None]


def _lines(side: str, names: list[str], grades: Grades) -> list[str]:
    pairs = zip(names, grades, strict=True)
    return [f"{side} {name} {grade}/5" for name, grade in pairs if grade is not None]


@pytest.fixture
def six(hear, grammar) -> Callable[[Grades, Grades], Score | None]:
    """Speaks six movements a side and adds them up."""

    def total(right: Grades, left: Grades) -> Score | None:
        lines = _lines("right", MOVEMENTS, right) + _lines("left", MOVEMENTS, left)
        return mrc_sum(hear(*lines), grammar)

    return total


@pytest.mark.parametrize(
    ("right", "left", "total"),
    [
        ([5] * 6, [5] * 6, 60),
        ([4] * 6, [4] * 6, 48),
        ([4] * 6, [4, 4, 4, 4, 4, 3], 47),
        ([3] * 6, [3] * 6, 36),
        ([3] * 6, [3, 3, 3, 3, 3, 2], 35),
        ([0] * 6, [5] * 6, 30),
        ([5, 5, 5, 0, 0, 0], [5, 5, 5, 0, 0, 0], 30),
        ([0] * 6, [0] * 6, 0),
        ([3, 4, 5, 2, 3, 4], [3, 4, 5, 2, 3, 4], 42),
        ([5, 5, 4, 5, 5, 3], [5] * 6, 57),
    ],
)
def test_worked_sums(six, right: Grades, left: Grades, total: int) -> None:
    score = six(right, left)
    assert score is not None
    assert (score.total, score.maximum, score.missing) == (total, 60, ())
    assert (score.partial, score.partial_maximum) == (total, 60)


def test_sum_rows_of_the_reference_table(six, reference) -> None:
    rows = {row["id"]: row for row in reference("scales.yaml")["scales"]}["mrc_sum_score"]
    worked = [row for row in rows["examples"] if "right" in row]
    assert len(worked) >= 3
    for row in worked:
        score = six(row["right"], row["left"])
        assert score is not None
        assert score.total == row["total"]
        if row["total"] is None:
            partial = (score.partial, score.partial_maximum)
            assert partial == (row["partial_sum"], row["partial_max"])


def test_an_item_missing_gives_no_total(six) -> None:
    score = six([5, 5, 5, 5, 5, None], [5] * 6)
    assert score is not None
    assert (score.total, score.partial, score.partial_maximum) == (None, 55, 55)
    assert score.missing == (("ankle_dorsiflexion", "right"),)


@pytest.mark.parametrize("split", ["4+", "4-", "5-", "3+"])
def test_a_split_grade_gives_no_total(six, split: str) -> None:
    score = six([5, split, 5, 5, 5, 5], [5] * 6)
    assert score is not None
    assert score.total is None
    assert score.missing == (("elbow_flexion or biceps", "right"),)


@pytest.mark.parametrize(
    "line",
    [
        "left hip flexion could not be tested because of the cast",
        "left hip flexion is normal",
        "left hip flexion weak",
        "hip flexion five out of five",
        "left leg five out of five",
    ],
)
def test_no_word_stands_in_for_a_grade(hear, grammar, line: str) -> None:
    lines = _lines("right", MOVEMENTS, [5] * 6)
    lines += _lines("left", MOVEMENTS, [5, 5, 5, None, 5, 5])
    score = mrc_sum(hear(*lines, line), grammar)
    assert score is not None
    assert (score.total, score.missing) == (None, (("hip_flexion", "left"),))


def test_a_group_is_no_sum(hear, grammar) -> None:
    """Groups stay groups: nobody named the muscles."""
    assert mrc_sum(hear("strength five out of five throughout"), grammar) is None
    assert mrc_sum(hear("reflexes two plus and symmetric"), grammar) is None
    assert mrc_sum(Record(), grammar) is None


def test_both_sides_at_once_and_the_muscle_for_its_movement(hear, grammar) -> None:
    record = hear(
        "deltoids five out of five, biceps four bilaterally, wrist extension three bilaterally",
        "iliopsoas five bilaterally, quadriceps two bilaterally",
        "tibialis anterior five bilaterally",
    )
    score = mrc_sum(record, grammar)
    assert score is not None
    assert score.total == 2 * (5 + 4 + 3 + 5 + 2 + 5)


def test_a_movement_and_its_muscle_that_differ_give_no_total(six, hear, grammar) -> None:
    lines = _lines("right", MOVEMENTS, [5] * 6) + _lines("left", MOVEMENTS, [5] * 6)
    same = mrc_sum(hear(*lines, "right biceps 5/5"), grammar)
    other = mrc_sum(hear(*lines, "right biceps 3/5"), grammar)
    assert same is not None and same.total == 60
    assert other is not None and other.total is None
    assert other.missing == (("elbow_flexion or biceps", "right"),)


def test_a_reflex_or_a_bulk_of_the_same_site_does_not_count(grammar) -> None:
    """The site alone does not make an item: the grade must be of the scale."""
    reflex = Record(findings=(Finding("stretch_reflex", "biceps", "right", "0"),))
    assert mrc_sum(reflex, grammar) is None
    assert isncsci_motor(reflex, grammar) == ()


Limbs = tuple[Grades, Grades, Grades, Grades]


def _motor(hear, grammar, limbs: Limbs) -> dict[tuple[str, tuple[str, ...]], Score]:
    right_arm, left_arm, right_leg, left_leg = limbs
    lines = _lines("right", ARM, right_arm) + _lines("left", ARM, left_arm)
    lines += _lines("right", LEG, right_leg) + _lines("left", LEG, left_leg)
    return {(score.name, score.sides): score for score in isncsci_motor(hear(*lines), grammar)}


@pytest.mark.parametrize(
    ("limbs", "sums"),
    [
        (([5] * 5, [5] * 5, [5] * 5, [5] * 5), (25, 25, 50, 25, 25, 50)),
        (([5] * 5, [5] * 5, [0] * 5, [0] * 5), (25, 25, 50, 0, 0, 0)),
        (([5, 5, 4, 2, 0], [5, 4, 3, 1, 0], [0] * 5, [0] * 5), (16, 13, 29, 0, 0, 0)),
        (([5] * 5, [5] * 5, [5, 5, 4, 3, 4], [5] * 5), (25, 25, 50, 21, 25, 46)),
    ],
)
def test_worked_motor_scores(hear, grammar, limbs: Limbs, sums: tuple[int, ...]) -> None:
    scores = _motor(hear, grammar, limbs)
    keys = [
        (name, sides)
        for name in ("isncsci_upper", "isncsci_lower")
        for sides in (("right",), ("left",), ("right", "left"))
    ]
    assert [scores[key].total for key in keys] == list(sums)
    assert [scores[key].maximum for key in keys] == [25, 25, 50, 25, 25, 50]
    both = [scores[key].total or 0 for key in keys if len(key[1]) == 2]
    assert sum(both) <= 100


def test_an_untested_key_muscle_gives_no_total_of_its_limb(hear, grammar) -> None:
    scores = _motor(hear, grammar, ([5, 5, 5, None, 5], [5] * 5, [5] * 5, [5] * 5))
    totals = {key: score.total for key, score in scores.items()}
    assert totals[("isncsci_upper", ("right",))] is None
    assert totals[("isncsci_upper", ("right", "left"))] is None
    assert totals[("isncsci_upper", ("left",))] == 25
    assert totals[("isncsci_lower", ("right", "left"))] == 50


def test_the_lists_name_real_sites(grammar) -> None:
    """Every item is a site that a test of the scale takes, none stands twice."""
    counted = 0
    for key, scale in grammar.scales.items():
        tests = [name for name, test in grammar.tests.items() if test.scale == key]
        sites = {site for name in tests for site in grammar.sites_of(name)}
        assert set(scale.sum_of) == set(scale.sum_max)
        for name, items in scale.sum_of.items():
            named = [site for item in items for site in item.split(" or ")]
            assert set(named) <= sites
            assert len(named) == len(set(named))
            assert scale.sum_max[name] == 2 * (scale.of or 0) * len(items)
            counted += 1
    assert counted == 3


def test_the_maxima(grammar) -> None:
    mrc = grammar.scales["mrc"]
    assert mrc.sum_max == {"mrc_sum": 60, "isncsci_upper": 50, "isncsci_lower": 50}
