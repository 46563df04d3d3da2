"""Two rows of words beside each other: which of the heard ones sound like which spoken ones.

A recogniser cuts an unknown word into several and joins others ("ilio so as" for "iliopsoas"),
so up to three words stand for up to three. In order, each word in one pair at most.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import jellyfish
from rapidfuzz.fuzz import ratio

#: The most words of one row that stand for one or more of the other.
_MOST = 3
#: Words less alike than this (0..1) are no pair; of short and of joined ones many
#: letters are easily shared.
_ALIKE, _MORE_ALIKE = 0.6, 0.75
#: Letters up to which a word is short.
_SHORT = 3
#: Words that sound the same and are spelt otherwise count as this much alike (0..1).
_SAME_SOUND = 0.9


@dataclass(frozen=True, slots=True)
class Match:
    """Ranges of heard and spoken words that go together (ends exclusive)."""

    heard: tuple[int, int]
    spoken: tuple[int, int]


def align(
    heard: Sequence[str],
    spoken: Sequence[str],
    may_be: Callable[[int, int], bool] = lambda heard, spoken: True,
) -> list[Match]:
    """Find the pairs that together cover the most letters.

    Args:
        heard: Words in small letters.
        spoken: Words in small letters.
        may_be: Whether the heard word of one index may be the spoken one of another.

    Returns:
        The pairs in order.
    """
    rows, columns = len(heard), len(spoken)
    best = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    step: dict[tuple[int, int], Match | None] = {}
    for i in range(rows - 1, -1, -1):
        for j in range(columns - 1, -1, -1):
            best[i][j] = max(best[i + 1][j], best[i][j + 1])
            if not may_be(i, j):
                continue
            for a, b, gain in _pairs(heard, spoken, i, j):
                if gain + best[a][b] > best[i][j]:
                    best[i][j] = gain + best[a][b]
                    step[i, j] = Match((i, a), (j, b))
    return _walk(best, step)


def _walk(best: list[list[float]], step: dict[tuple[int, int], Match | None]) -> list[Match]:
    i = j = 0
    found: list[Match] = []
    while i < len(best) - 1 and j < len(best[0]) - 1:
        match = step.get((i, j))
        if match is not None:
            found.append(match)
            i, j = match.heard[1], match.spoken[1]
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return found


def _pairs(
    heard: Sequence[str], spoken: Sequence[str], i: int, j: int
) -> list[tuple[int, int, float]]:
    """Every pair of groups that begin at i and j and are alike, with what it is worth."""
    found = []
    for a in range(i + 1, min(i + _MOST, len(heard)) + 1):
        for b in range(j + 1, min(j + _MOST, len(spoken)) + 1):
            if a - i > 1 and b - j > 1:
                continue  # two of each are two pairs
            left, right = "".join(heard[i:a]), "".join(spoken[j:b])
            like = alike(left, right)
            easily = min(len(left), len(right)) <= _SHORT or (a - i, b - j) != (1, 1)
            if like >= (_MORE_ALIKE if easily else _ALIKE):
                # one pair is worth a little less than the same letters in several exact ones
                found.append((a, b, like * min(len(left), len(right)) - 0.1 * (a - i + b - j - 2)))
    return found


@lru_cache(maxsize=4096)
def alike(one: str, other: str) -> float:
    """How alike two words are, by spelling and by sound (0..1)."""
    spelling = ratio(one, other) / 100
    if spelling < _SAME_SOUND and len(one) > 1 and len(other) > 1:
        sounds = jellyfish.metaphone(one), jellyfish.metaphone(other)
        if sounds[0] and sounds[0] == sounds[1]:
            return _SAME_SOUND
    return spelling
