"""What is disputed between two listeners, from words alone."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.recognise.joining import HeardWord
from dictate.recognise.judge import Judge

BACK = {("nurse", "tag", "mess"): "nystagmus"}


@pytest.fixture(scope="module")
def judge():
    return Judge(load_grammar(), BACK)


def heard(text, sure=1.0, at_s=0.0, each_s=0.4):
    """ "left 0.5" style is not needed: all words have one confidence and one length."""
    return [
        HeardWord(word, at_s + n * each_s, at_s + (n + 1) * each_s, sure)
        for n, word in enumerate(text.split())
    ]


def disputes(found):
    return [(found.text[d.start : d.end], d.instead, d.kind) for d in found.disputed]


@pytest.mark.parametrize(
    ("taught", "other"),
    [
        ("left deltoid four", "left deltoid for"),
        ("biceps two plus", "biceps to plus"),
        ("no drift", "know drift"),
        ("right deltoid four", "right dell toyed for"),
        ("tone in the left arm", "tone and the left arm"),
    ],
)
def test_what_sounds_the_same_agrees(judge, taught, other):
    words = heard(taught)
    spread = len(words) * 0.4 / len(other.split())
    found = judge.judge(words, heard(other, 0.8, each_s=spread))
    assert found.text == taught
    assert disputes(found) == []
    assert all(word.agreed for word in found.words)


def test_another_side_is_disputed(judge):
    found = judge.judge(heard("left deltoid four"), heard("right deltoid four"))
    assert disputes(found) == [("left", "right", "doubted")]
    assert [word.agreed for word in found.words] == [False, True, True]


def test_another_number_is_disputed(judge):
    assert disputes(judge.judge(heard("left deltoid four"), heard("left deltoid five"))) == [
        ("four", "five", "doubted")
    ]


def test_a_correction_that_only_the_other_heard(judge):
    found = judge.judge(heard("note three out of five"), heard("no three out of five"))
    assert ("note", "no", "doubted") in disputes(found)


def test_a_negation_inside_a_longer_word_is_none(judge):
    taught = heard("nurse tag mess", each_s=0.3)
    found = judge.judge(taught, heard("no stag mess", 0.6, each_s=0.3))
    assert (found.text, disputes(found)) == ("nystagmus", [])


def test_a_word_heard_faintly_is_disputed_though_it_is_alike(judge):
    taught = [*heard("right"), *heard("toe", 0.5, 0.4), *heard("down", 1.0, 0.8)]
    found = judge.judge(taught, heard("right to down", 0.6))
    assert disputes(found) == [("toe", "to", "doubted")]


def test_a_word_of_the_trade_that_sounds_more_like_it(judge):
    found = judge.judge(heard("jaw normal", 0.95), heard("don't normal", 0.8))
    assert disputes(found) == [("jaw", "tone", "other")]


def test_talk_is_what_the_open_listener_heard(judge):
    said = "that's all right we'll come to that"
    found = judge.judge(heard("that on right walk come two that", 0.6), heard(said))
    assert found.text == said
    assert [d.kind for d in found.disputed] == ["talk"]
    assert found.disputed[0].listener == "taught"


@pytest.mark.parametrize(("taught", "other"), [("", "good morning"), ("right", "")])
def test_only_one_heard_anything(judge, taught, other):
    found = judge.judge(heard(taught), heard(other))
    assert found.text == taught or other
    assert len(found.disputed) == 1


def test_a_pause_is_a_comma_and_places_hold(judge):
    words = [*heard("light touch reduced"), *heard("pinprick absent", at_s=1.5)]
    found = judge.judge(words, words)
    assert found.text == "light touch reduced, pinprick absent"
    assert [found.text[w.start : w.end] for w in found.words] == [w.text for w in words]
