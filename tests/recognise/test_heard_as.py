"""Spellings for the engine, and the way back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.grammar import load_grammar
from dictate.model import Utterance, Word
from dictate.recognise.heard_as import Speller, restore, restore_utterance
from dictate.recognise.spoken import Unit

BACK = {
    ("clone", "us"): "clonus",
    ("clone", "us", "less"): "clonusless",
    ("d", "t", "r's"): "DTRs",
    ("ruse",): "rhus",
}


def heard(text, confidence=1.0):
    """Words of an engine, a second each."""
    words, at = [], 0
    for number, word in enumerate(text.split()):
        start = text.index(word, at)
        at = start + len(word)
        words.append(Word(word, start, at, float(number), number + 0.9, confidence))
    return tuple(words)


def test_a_spelling_becomes_the_word_with_its_times_and_lowest_confidence():
    words = heard("right clone us absent")
    words = (words[0], replace(words[1], confidence=0.4), *words[2:])
    found = restore(words, BACK)
    assert [word.text for word in found] == ["right", "clonus", "absent"]
    assert (found[1].start_s, found[1].end_s, found[1].confidence) == (1.0, 2.9, 0.4)
    assert (found[1].start, found[1].end) == (6, 12)


@pytest.mark.parametrize(
    ("engine", "real"),
    [
        ("clone us less", "clonusless"),
        ("clone us clone us", "clonus clonus"),
        ("clone", "clone"),
        ("us clone", "us clone"),
        ("d t r's two plus", "DTRs two plus"),
        ("ruse", "rhus"),
        ("", ""),
    ],
)
def test_the_longest_spelling_wins_and_half_of_one_stays(engine, real):
    assert " ".join(word.text for word in restore(heard(engine), BACK)) == real


def test_an_unknown_confidence_stays_unknown():
    assert restore(heard("clone us", None), BACK)[0].confidence is None


@given(st.lists(st.sampled_from(["clone", "us", "less", "right", "d", "t", "r's", "no", "ruse"])))
def test_no_sound_is_lost_and_the_text_is_cut_out_by_its_words(pieces):
    words = heard(" ".join(pieces)) if pieces else ()
    utterance = Utterance("u1", " ".join(pieces), 0.0, len(pieces) + 0.0, words)
    found = restore_utterance(utterance, BACK)
    assert [found.text[word.start : word.end] for word in found.words] == [
        word.text for word in found.words
    ]
    starts = {word.start_s for word in found.words}
    assert starts <= {word.start_s for word in words}
    if words:
        assert found.words[0].start_s == words[0].start_s
        assert found.words[-1].end_s == words[-1].end_s
    spoken = {real: " ".join(spelling) for spelling, real in BACK.items()}
    again = " ".join(spoken.get(word.text, word.text) for word in found.words)
    assert again == utterance.text


def speller(spellings, lexicon):
    grammar = replace(load_grammar(), heard_as=spellings)
    return Speller(grammar, lexicon.split().__contains__)


def test_a_word_that_the_engine_knows_is_left_alone():
    made = speller({}, "tone")
    assert made.ways(Unit("", (("tone",),), "tone")) == ("tone",)
    assert made.back == {} and not made.unheard


def test_every_spelling_that_the_engine_knows_is_used():
    made = speller({"Clonus": ("clone us", "clow nurse", "qwertzu us")}, "clone us clow nurse")
    assert made.ways(Unit("", (("clonus",),), "clonus")) == ("clone us", "clow nurse")
    assert made.back == {("clone", "us"): "Clonus", ("clow", "nurse"): "Clonus"}


def test_a_word_without_a_spelling_is_unheard():
    made = speller({"clonus": ("qwertzu",)}, "tone")
    assert made.ways(Unit("", (("clonus",),), "clonus")) == ()
    assert list(made.unheard) == ["clonus"]


def test_a_known_word_may_have_a_spelling_besides():
    made = speller({"tone": ("tow n",)}, "tone tow n")
    assert made.ways(Unit("", (("tone",),), "tone")) == ("tone", "tow n")
    assert made.back == {("tow", "n"): "tone"}
