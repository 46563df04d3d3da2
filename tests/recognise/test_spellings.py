"""The search for known words that sound like an unknown one."""

from __future__ import annotations

from itertools import pairwise

import pytest

from dictate.recognise.spellings import MOST_WORDS, SpellingSearch, distance

LEXICON = {
    "dorsey": "D AO R S IY",
    "doors": "D AO R Z",
    "flexion": "F L EH K SH AH N",
    "election": "IH L EH K SH AH N",
    "clone": "K L OW N",
    "us": "AH S",
    "ass": "AE S",
    "tag": "T AE G",
    "tagg": "T AE G",
    "nice": "N AY S",
    "mess": "M EH S",
    "no": "N OW",
}

DORSIFLEXION = ("D", "AO", "R", "S", "IH", "F", "L", "EH", "K", "SH", "AH", "N")


@pytest.fixture
def search():
    dictionary = {word: (tuple(sounds.split()),) for word, sounds in LEXICON.items()}
    return SpellingSearch(dictionary, lambda word: word != "ass", lambda word: 0.0, {"no"})


def find(search, sounds, most=3):
    return [" ".join(found.words) for found in search.spellings(tuple(sounds.split()), most)]


def test_the_nearest_words_come_first(search):
    assert find(search, "D AO R S IH F L EH K SH AH N")[0] == "dorsey flexion"
    assert find(search, "K L OW N AH S")[0] == "clone us"
    assert find(search, "N IH S T AE G M AH S")[0] == "nice tag mess"


def test_words_unknown_to_the_model_or_kept_out_are_never_used(search):
    found = find(search, "K L OW N AE S", 20) + find(search, "N OW N OW N", 20)
    assert not {"ass", "no"} & {word for spelling in found for word in spelling.split()}


def test_of_words_that_sound_the_same_one_is_used(search):
    found = find(search, "T AE G", 20)
    assert "tag" in found and "tagg" not in found


def test_costs_rise_and_spellings_stay_short(search):
    found = search.spellings(DORSIFLEXION, 20)
    assert all(one.cost <= other.cost for one, other in pairwise(found))
    assert all(1 <= len(spelling.words) <= MOST_WORDS for spelling in found)


def test_nothing_near_gives_nothing(search):
    assert find(search, "HH AA HH AA HH AA HH AA HH") == []


def test_distance():
    assert distance(("T", "AE", "G"), ("T", "AE", "G")) == 0
    near, far = distance(("T",), ("D",)), distance(("T",), ("M",))
    assert 0 < near < far
    assert distance((), ("T",)) == distance(("T",), ()) > 0
