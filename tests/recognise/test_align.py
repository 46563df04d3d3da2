"""Words of two listeners find each other by time and sound."""

from __future__ import annotations

from dictate.recognise.align import APART_S, align, spoken
from dictate.recognise.joining import HeardWord


def line(text, start_s=0.0, each_s=0.4):
    """Words of one length, one after the other."""
    return [
        spoken([HeardWord(word, start_s + n * each_s, start_s + (n + 1) * each_s, 1.0)])
        for n, word in enumerate(text.split())
    ]


def test_other_words_of_the_same_sound_lie_under_one():
    mine = line("left biceps four", each_s=0.5)
    theirs = [*line("left", each_s=0.5), *line("bit spy", 0.5, 0.25), *line("for", 1.0, 0.5)]
    lines = align(mine, theirs)
    assert [(m.first, m.last) for m in lines.matches] == [(0, 1), (1, 3), (3, 4)]
    assert lines.owners == (0, 1, 1, 2)
    assert lines.matches[0].likeness == lines.matches[2].likeness == 1


def test_the_same_word_at_another_time_is_no_match():
    lines = align(line("left"), line("left", start_s=0.4 + 2 * APART_S))
    assert lines.matches[0].likeness == 0
    assert lines.owners == (None,)


def test_nothing_on_either_side():
    assert align([], line("left")).owners == (None,)
    assert align(line("left"), []).matches[0].likeness == 0
    assert align([], []).matches == ()
