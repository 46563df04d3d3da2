"""Number words from zero to one hundred.

Source: the cardinal names of English as the library num2words spells them.
"""

from __future__ import annotations

import pytest

from dictate.interpret.grades import GradeReader
from dictate.interpret.tokens import tokenise

num2words = pytest.importorskip("num2words", reason="the test library num2words is not installed")


@pytest.fixture(scope="module")
def reader(grammar) -> GradeReader:
    """Reads numbers by the grammar that the program comes with."""
    return GradeReader(grammar)


@pytest.mark.parametrize("number", range(101))
def test_every_spelling_is_its_number(reader: GradeReader, number: int) -> None:
    words = num2words.num2words(number)
    for said in {words, words.replace("-", " "), words.upper(), str(number)}:
        tokens = tokenise(said)
        (grade,) = reader.find(tokens, set())
        assert grade.text == str(number)
        assert (grade.start, grade.end) == (0, len(tokens))
        assert (grade.of, grade.until, grade.unit) == (None, None, None)


@pytest.mark.parametrize("number", range(101))
def test_out_of(reader: GradeReader, number: int) -> None:
    """The number after "out of" is read by the same rules."""
    words = num2words.num2words(number)
    (grade,) = reader.find(tokenise(f"three out of {words}"), set())
    assert (grade.text, grade.of) == ("3", str(number))


@pytest.mark.parametrize("word", ["hundreds", "oneness", "tenth", "fifth", "onto", "often", "tent"])
def test_words_that_only_look_like_numbers(reader: GradeReader, word: str) -> None:
    assert reader.find(tokenise(word), set()) == []
