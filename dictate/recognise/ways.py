"""The ways to hear a whole utterance, of the ways to hear each result that it was joined from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.recognise.joining import HeardWord, Way

#: Ways that are followed; a long utterance has far more that nobody would tell apart.
MOST = 12


def whole_ways(words: Sequence[HeardWord], behind: float) -> list[Way]:
    """Ways to hear an utterance, likeliest first.

    A word that was heard at the same time in the first hearing keeps the confidence that it had
    there; another one has none.

    Args:
        words: The first hearing, as the engine gave it.
        behind: The furthest that a way may be behind the likeliest.
    """
    sure = {(word.text, round(word.start_s, 1)): word.confidence for word in words}
    found = [Way(0.0, ())]
    for result in _results(words):
        ways = result[0].ways or (Way(0.0, tuple(result)),)
        longer: dict[tuple[str, ...], Way] = {}
        for way in found:
            for more in ways:
                whole = Way(way.behind + more.behind, (*way.words, *more.words))
                key = tuple(word.text for word in whole.words)
                if whole.behind <= behind and key not in longer:
                    longer[key] = whole
        found = sorted(longer.values(), key=lambda way: way.behind)[:MOST]
    return [replace(way, words=tuple(_with(word, sure) for word in way.words)) for way in found]


def _results(words: Sequence[HeardWord]) -> list[list[HeardWord]]:
    """The words of each result; the first of them tells its ways."""
    results: list[list[HeardWord]] = []
    for word in words:
        if word.ways or not results:
            results.append([])
        results[-1].append(word)
    return results


def _with(word: HeardWord, sure: dict[tuple[str, float], float | None]) -> HeardWord:
    near = (round(word.start_s + step, 1) for step in (0.0, -0.1, 0.1))
    found = next((sure[word.text, at] for at in near if (word.text, at) in sure), None)
    return replace(word, confidence=found)
