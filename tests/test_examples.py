"""Every example that the grammar files hold, one test each, also with right for left."""

from __future__ import annotations

import dataclasses

import pytest

from dictate.examples import Case, cases, fault
from dictate.grammar import load_grammar

GRAMMAR = load_grammar()
CASES = list(cases(GRAMMAR))
MIRRORED = [case for case in CASES if case.example.mirror]

#: How many examples there were when this was last looked at. It may rise and never fall.
AT_LEAST = 706


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_example(case: Case) -> None:
    assert fault(GRAMMAR, case.example) is None, case.example.say


@pytest.mark.parametrize("case", MIRRORED, ids=lambda case: case.name)
def test_example_mirrored(case: Case) -> None:
    assert fault(GRAMMAR, case.example, mirrored=True) is None, case.example.say


def test_the_number_of_examples_does_not_fall() -> None:
    assert len(CASES) >= AT_LEAST


def test_an_example_that_is_not_mirrored_says_why() -> None:
    silent = [case.name for case in CASES if not case.example.mirror and not case.example.why]
    assert not silent


def test_every_area_has_examples_that_find_and_that_ask() -> None:
    for area in GRAMMAR.areas:
        assert any(example.find for example in area.examples), area.area
        assert any(not example.find for example in area.examples), area.area


@pytest.mark.parametrize(
    "change",
    [
        {"find": ("strength deltoid left 4",)},
        {"find": ("strength deltoid right 5",)},
        {"find": ()},
        {"ask": ("side",)},
        {"kind": "remark"},
        {"find": None, "ask": None, "kind": None},
        {"detail": {"strength/deltoid/right": ("drift",)}},
    ],
    ids=str,
)
def test_a_wrong_example_is_found_out(change: dict) -> None:
    """The runner can fail: a right example of the motor file, changed in one point."""
    example = CASES[0].example.model_copy(
        update={"say": "right deltoid four", "before": (), "find": ("strength deltoid right 4",)}
        | {"ask": None, "kind": "finding", "detail": {}}
    )
    right = dataclasses.replace(CASES[0], example=example)
    assert fault(GRAMMAR, right.example) is None
    assert fault(GRAMMAR, example.model_copy(update=change)) is not None
