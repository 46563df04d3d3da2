"""What is said for what the grammar files write."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.recognise.spoken import Speaker


@pytest.fixture(scope="module")
def speaker():
    return Speaker(load_grammar())


def said(speaker, form):
    return " ".join(" ".join(unit.said[0]) for unit in speaker.units(form))


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ("Finger-to-nose", "finger to nose"),
        ("5/5", "five out of five"),
        ("4+/5", "four plus out of five"),
        ("4-", "four minus"),
        ("2+", "two plus"),
        ("20/40", "twenty forty"),
        ("0.5", "zero point five"),
        ("25", "twenty five"),
        ("125", "one hundred twenty five"),
        ("C6 dermatome", "c six dermatome"),
        ("DTRs", "d t r's"),
        ("FDI", "f d i"),
        ("cranial nerve VII", "cranial nerve seven"),
        ("V", "v"),
        ("right hand, left foot.", "right hand left foot"),
        ("Bell's palsy", "bell's palsy"),
    ],
)
def test_said(speaker, form, words):
    assert said(speaker, form) == words


@pytest.mark.parametrize("form", ["b/l", "(+)", "?", "%", "", "3rd", "AOx3"])
def test_only_ever_typed(speaker, form):
    assert speaker.units(form) == ()


def test_a_fraction_is_said_in_several_ways(speaker):
    (unit,) = speaker.units("5/5")
    assert {("five", "out", "of", "five"), ("five", "of", "five")} < set(unit.said)


def test_an_abbreviation_comes_back_as_it_is_written(speaker):
    (unit,) = speaker.units("DTRs")
    assert unit.written == "DTRs"
