"""How words sound, and how alike."""

from __future__ import annotations

import pytest

from dictate.recognise.sounds import alike, likeness, sounds_of


@pytest.mark.parametrize(
    ("one", "other"), [("four", "for"), ("two plus", "to plus"), ("know", "no"), ("write", "right")]
)
def test_homophones_sound_the_same(one, other):
    assert alike(one, other) == 1.0


@pytest.mark.parametrize(
    ("said", "near", "far"),
    [("left", "lift", "right"), ("four", "fort", "five"), ("deltoid", "bell tolled", "biceps")],
)
def test_what_is_mistaken_is_nearer_than_what_is_not(said, near, far):
    assert alike(said, near) > alike(said, far)


def test_likeness_is_symmetric_and_bounded():
    for one, other in (("left", "right"), ("no", "nystagmus"), ("a", "quadriceps")):
        for a in sounds_of(one):
            for b in sounds_of(other):
                assert 0 <= likeness(a, b) == likeness(b, a) < 1
            assert likeness(a, a) == 1
    assert likeness("", "n") == 0


def test_a_word_that_no_dictionary_has_is_spelt_out():
    (made,) = sounds_of("brachioradialis")
    assert likeness(made, "prYkOrYtJMlJs") > 0.5
    assert sounds_of("") == ()
