from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.speak.aloud import aloud, number_words, words_of


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ("“4+”: where?", "four plus: where?"),
        ("Right knee: 2+ or 3?", "Right knee: two plus or three?"),
        ("Strength 4-/5.", "Strength four minus five."),
        ("“21” of “30”", "twenty one of thirty"),
        ("Level C5", "Level C five"),
        ("finger-to-nose", "finger-to-nose"),
    ],
)
def test_a_sentence_is_written_as_it_is_said(shown: str, said: str) -> None:
    assert aloud(load_grammar(), shown) == said


def test_no_digit_and_no_sign_is_left_of_any_grade() -> None:
    grammar = load_grammar()
    for scale in grammar.scales.values():
        for grade in scale.grades:
            words = words_of(aloud(grammar, f"“{grade}”?"))
            assert words and all(word.isalpha() for word in words), grade


def test_a_number_without_words_keeps_its_digits() -> None:
    assert number_words(load_grammar(), 1234) == "1234"


def test_words_are_what_a_recogniser_writes() -> None:
    assert words_of("I'm not sure: right, or left?") == (
        "i'm",
        "not",
        "sure",
        "right",
        "or",
        "left",
    )
