"""What a third listener settles between two, and what it alone may doubt, from words alone."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.recognise.joining import HeardWord
from dictate.recognise.judge import Judge
from dictate.recognise.jury import Jury


@pytest.fixture(scope="module")
def judge():
    return Judge(load_grammar(), {})


@pytest.fixture(scope="module")
def jury(judge):
    return Jury(judge)


def heard(text, whole_s=1.6, sure=1.0):
    """Words of one length over the same seconds, whatever their number."""
    words = text.split()
    each_s = whole_s / max(1, len(words))
    return [HeardWord(w, n * each_s, (n + 1) * each_s, sure) for n, w in enumerate(words)]


def disputes(found):
    return [(found.text[d.start : d.end], d.instead, d.listener) for d in found.disputed]


def two(judge, taught, other):
    whole_s = 0.4 * len(taught.split())
    return judge.judge(heard(taught, whole_s), heard(other, whole_s))


def three(jury, taught, other, third):
    whole_s = 0.4 * len(taught.split())
    return jury.judge(*(heard(text, whole_s) for text in (taught, other, third)))


@pytest.mark.parametrize(
    ("taught", "other", "third"),
    [
        ("jaw normal", "paper normal", "jaw normal"),
        ("left deltoid four", "left deltoid five", "left deltoid for"),
        ("right toe down", "right river down", "right toe down"),
    ],
)
def test_a_word_that_the_third_confirms_is_agreed(judge, jury, taught, other, third):
    assert two(judge, taught, other).disputed
    found = three(jury, taught, other, third)
    assert found.text == taught
    assert disputes(found) == []
    assert all(word.agreed for word in found.words)


def test_a_third_that_heard_another_sentence_settles_nothing(judge, jury):
    taught, other = "left ankle jerk lost", "left ankle your lost"
    pair = two(judge, taught, other)
    assert [d[0] for d in disputes(pair)] == ["jerk"]
    assert three(jury, taught, other, "left ankle jerk lost").disputed == ()
    assert three(jury, taught, other, "left ankle jerk two plus").disputed == pair.disputed
    assert three(jury, taught, other, "left ankle jerk").disputed == pair.disputed


def test_words_that_only_join_must_be_confirmed_too(judge, jury):
    """A joining word may stand where the name of a place was said."""
    taught, other = "no right to the jerk", "no right to the house"
    pair = two(judge, taught, other)
    assert pair.disputed
    assert three(jury, taught, other, "no right please jerk").disputed == pair.disputed


def test_two_others_that_agree_on_another_word_stand(judge, jury):
    taught, other = "jaw normal", "tone normal"
    pair = two(judge, taught, other)
    assert three(jury, taught, other, "tone normal").disputed == pair.disputed != ()


@pytest.mark.parametrize(
    ("taught", "other"),
    [
        ("left deltoid four", "right deltoid four"),
        ("note three out of five", "no three out of five"),
    ],
)
def test_what_the_open_one_heard_that_turns_it_round_stays_disputed(judge, jury, taught, other):
    pair = two(judge, taught, other)
    assert three(jury, taught, other, taught).disputed == pair.disputed != ()


@pytest.mark.parametrize(
    ("said", "third", "disputed"),
    [
        ("left deltoid four", "right deltoid four", ("left", "right", "third")),
        ("note three out of five", "no three out of five", ("note", "no", "third")),
    ],
)
def test_a_word_in_place_of_mine_that_only_the_third_heard(jury, said, third, disputed):
    found = three(jury, said, said, third)
    assert disputes(found) == [disputed]
    assert [word.text for word in found.words if not word.agreed] == [disputed[0]]


def test_a_negation_between_my_words_that_only_the_third_heard(jury):
    said = [*heard("tremor", 0.5), *[HeardWord("drift", 1.5, 2.0, 1.0)]]
    third = [*heard("tremor", 0.5), HeardWord("no", 0.9, 1.2, 0.9), said[-1]]
    found = jury.judge(said, said, third)
    assert disputes(found) == [("", "no", "third")]
    assert found.text[: found.disputed[0].start] == "tremor"
    assert all(word.agreed for word in found.words)


def test_what_it_alone_heard_besides_is_not_mentioned(jury):
    said = "left deltoid four"
    assert three(jury, said, said, "lift delta in fog").disputed == ()
    assert three(jury, said, said, "").disputed == ()


def test_talk_stays_what_the_open_listener_heard(judge, jury):
    taught = heard("that on right walk come two that", sure=0.6)
    other = heard("that's all right we'll come to that")
    pair = judge.judge(taught, other)
    found = jury.judge(taught, other, heard("no that's not right we'll come to that"))
    assert (found.text, found.disputed) == (pair.text, pair.disputed)
    assert [d.kind for d in found.disputed] == ["talk"]
