"""Pairs under a heading that says which column is which side."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.model import Utterance
from dictate.session import Session

GRAMMAR = load_grammar()


def _said(*lines: str) -> tuple[set[tuple[str, str | None, str | None, str]], list[str]]:
    session = Session(GRAMMAR)
    for n, line in enumerate(lines, 1):
        session.take(Utterance(str(n), line))
    record = session.record()
    found = {(f.test, f.site, f.side, f.value) for f in record.findings}
    return found, [question.kind for question in record.questions]


@pytest.mark.parametrize(
    ("order", "first", "second"), [("R/L", "right", "left"), ("L/R", "left", "right")]
)
@pytest.mark.parametrize("apart", [True, False], ids=["lines", "line"])
def test_each_half_has_the_side_of_its_column(
    order: str, first: str, second: str, apart: bool
) -> None:
    head, body = f"Power {order}:", "deltoid 5-/4, biceps 4+/4"
    found, asked = _said(head, body) if apart else _said(f"{head} {body}")
    assert found == {
        ("strength", "deltoid", first, "5-"),
        ("strength", "deltoid", second, "4"),
        ("strength", "biceps", first, "4+"),
        ("strength", "biceps", second, "4"),
    }
    assert not asked


def test_another_heading_ends_the_columns() -> None:
    found, asked = _said("Power R/L:", "deltoid 5-/4", "Reflexes: biceps 2+/3+")
    assert {test for test, *_ in found} == {"strength"}
    assert asked == ["side"]


def test_what_may_be_out_of_five_is_asked() -> None:
    found, asked = _said("Power R/L:", "deltoid 4/5")
    assert not found
    assert asked


def test_without_columns_unequal_halves_are_asked() -> None:
    found, asked = _said("deltoid 5-/4+")
    assert not found
    assert asked == ["side"]


def test_a_measure_takes_its_unit_from_the_other_side() -> None:
    found, asked = _said("One leg stance right twelve seconds, left four.")
    assert found == {
        ("one_leg_stance", None, "right", "12 s"),
        ("one_leg_stance", None, "left", "4 s"),
    }
    assert not asked
    found, asked = _said("One leg stance right twelve seconds, left deltoid four.")
    assert ("one_leg_stance", None, "left", "4 s") not in found


@pytest.mark.parametrize("end", ["R/L", "(R/L)", "R/L."])
def test_the_order_may_stand_after_its_pairs(end: str) -> None:
    found, asked = _said(f"HF 5/4, KE 5-/4+ {end}", "ankles 2/1")
    assert found == {
        ("strength", "hip_flexion", "right", "5"),
        ("strength", "hip_flexion", "left", "4"),
        ("strength", "knee_extension", "right", "5-"),
        ("strength", "knee_extension", "left", "4+"),
    }
    assert asked == ["side"]  # it holds for its own line alone


@pytest.mark.parametrize(
    ("order", "first", "second"),
    [("right then left", "right", "left"), ("left first then right", "left", "right")],
)
def test_the_order_may_be_spoken(order: str, first: str, second: str) -> None:
    found, asked = _said(f"Power, {order}: deltoids four and four plus, grip three plus and five")
    assert found == {
        ("strength", "deltoid", first, "4"),
        ("strength", "deltoid", second, "4+"),
        ("strength", "grip", first, "3+"),
        ("strength", "grip", second, "5"),
    }
    assert not asked
