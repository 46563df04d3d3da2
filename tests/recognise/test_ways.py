"""Ways to hear a whole utterance, made of those of its results."""

from __future__ import annotations

from dataclasses import replace

from dictate.recognise.joining import HeardWord, Way
from dictate.recognise.ways import MOST, whole_ways


def heard(text: str, at_s: float, sure: float | None = None) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(word, at_s + 0.4 * n, at_s + 0.4 * n + 0.3, sure)
        for n, word in enumerate(text.split())
    )


def result(at_s: float, *ways: tuple[str, float]) -> tuple[HeardWord, ...]:
    """A result of an engine: the first of the ways, and all of them on its first word."""
    first, *rest = heard(ways[0][0], at_s, 0.9)
    told = tuple(Way(behind, heard(text, at_s)) for text, behind in ways)
    return (replace(first, ways=told), *rest)


def texts(ways: list[Way]) -> list[tuple[str, float]]:
    return [(" ".join(w.text for w in way.words), round(way.behind, 3)) for way in ways]


def test_results_are_combined_likeliest_first():
    words = (
        *result(0.0, ("left deltoid", 0.0), ("left del", 1.0)),
        *result(2.0, ("four", 0.0), ("for", 0.5)),
    )
    assert texts(whole_ways(words, behind=4.0)) == [
        ("left deltoid four", 0.0),
        ("left deltoid for", 0.5),
        ("left del four", 1.0),
        ("left del for", 1.5),
    ]


def test_what_is_too_far_behind_is_left_out():
    words = (*result(0.0, ("a", 0.0), ("b", 1.0)), *result(1.0, ("c", 0.0), ("d", 1.5)))
    assert [text for text, _ in texts(whole_ways(words, behind=2.0))] == ["a c", "b c", "a d"]


def test_a_word_that_stands_in_the_first_hearing_keeps_its_confidence():
    (_, other) = whole_ways(result(0.0, ("left food", 0.0), ("left foot", 1.0)), behind=4.0)
    assert [word.confidence for word in other.words] == [0.9, None]


def test_an_engine_that_tells_no_ways_has_one():
    assert texts(whole_ways(heard("left deltoid four", 0.0, 1.0), behind=4.0)) == [
        ("left deltoid four", 0.0)
    ]


def test_the_ways_of_a_long_utterance_are_bounded():
    words = [
        word for n in range(20) for word in result(n * 1.0, ("a", 0.0), ("b", 0.01), ("c", 0.02))
    ]
    assert len(whole_ways(words, behind=4.0)) == MOST
