"""Parts of spellings are turned into the word that they sound like, or left alone."""

from __future__ import annotations

import pytest

from dictate.model import Word
from dictate.recognise.heard_as import restore
from dictate.recognise.scraps import Scraps

BACK = {
    ("break", "radio", "lees"): "brachioradialis",
    ("bray", "eye", "radial", "us"): "brachioradialis",
    ("toe", "sis"): "ptosis",
    ("clone", "us"): "clonus",
    ("clone", "ick"): "clonic",
}
OWN = {"radial", "eye", "toe", "reflex", "absent"}


def heard(text, gap_s=0.02, confidence=0.9):
    words, at_s, place = [], 0.0, 0
    for word in text.split():
        words.append(Word(word, place, place + len(word), at_s, at_s + 0.2, confidence))
        at_s, place = at_s + 0.2 + gap_s, place + len(word) + 1
    return words


def mended(text, gap_s=0.02):
    return " ".join(w.text for w in restore(heard(text, gap_s), BACK, Scraps(BACK, OWN)))


@pytest.mark.parametrize(
    ("said", "real"),
    [
        ("break eye radial us absent", "brachioradialis absent"),
        ("left bray radio lees reflex", "left brachioradialis reflex"),
        ("the clone us", "the clonus"),
    ],
)
def test_parts_of_two_spellings_are_one_word(said, real):
    assert mended(said) == real


@pytest.mark.parametrize("said", ["radial eye absent", "toe absent", "reflex absent"])
def test_words_of_the_grammar_alone_are_never_turned(said):
    assert mended(said) == said


def test_a_silence_parts_what_would_be_one_word():
    assert mended("break eye radial us", gap_s=0.3) != "brachioradialis"


def test_a_scrap_like_two_words_or_none_is_left():
    assert mended("clone absent") == "clone absent"
    assert mended("lees absent") == "lees absent"


def test_the_word_has_the_times_of_its_parts_and_their_lowest_confidence():
    parts = heard("break eye radial us")
    parts[1] = Word("eye", 6, 9, 0.22, 0.42, 0.31)
    (word,) = restore(parts, BACK, Scraps(BACK, OWN))
    assert (word.start_s, word.end_s, word.confidence) == (0.0, parts[-1].end_s, 0.31)
    assert (word.start, word.end) == (0, len("brachioradialis"))
