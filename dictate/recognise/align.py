"""What two listeners heard, lined up by time and by sound.

The sounds of both are aligned at the least cost (Needleman and Wunsch 1970), and only sounds that
lie close in time may stand for each other. So "bit spy" is found under "biceps" without either
listener knowing where the other one's words begin.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from dictate.recognise.joining import HeardWord
from dictate.recognise.sounds import MISSED, MISTAKE, sounds_of

#: Two sounds further apart than this are not the same sound (seconds). Two engines put one and
#: the same word up to 0.2 s apart; measured by ``tests/benchmarks/bench_alike.py``.
APART_S = 0.3
#: The confidence of a word for which the engine tells none, as for one of its other ways to hear a
#: result: the other listener must have heard something quite like it.
UNTOLD = 0.85


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word with its sounds and times (seconds); ``heard``: the engine's words for it."""

    text: str
    sounds: str
    start_s: float
    end_s: float
    confidence: float
    heard: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Match:
    """What the other listener heard in the place of one word.

    ``likeness``: how alike it sounds, 0 to 1. ``first`` and ``last``: the other's words that it
    lies in, end exclusive; equal where the other heard nothing there.
    """

    likeness: float
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Alignment:
    """``matches``: one for each word of mine. ``owners``: for each word of theirs, the word of
    mine that it shares most sounds with; None where I heard nothing there."""

    matches: tuple[Match, ...]
    owners: tuple[int | None, ...]


@dataclass(slots=True)
class _Sound:
    letter: str
    at_s: float
    word: int


def spoken(words: Sequence[HeardWord], text: str = "") -> Spoken:
    """One word of the examiner's, made of the words that an engine heard for it.

    Args:
        words: At least one, in order.
        text: The real word, where it is another one ("nystagmus" for "nurse tag mess").
    """
    sounds = "".join(next(iter(sounds_of(word.text)), "") for word in words)
    sure = min(UNTOLD if word.confidence is None else word.confidence for word in words)
    heard = tuple(word.text for word in words)
    text = text or " ".join(heard)
    return Spoken(text, sounds, words[0].start_s, words[-1].end_s, sure, heard)


def align(mine: Sequence[Spoken], theirs: Sequence[Spoken]) -> Alignment:
    """Line up the words of two listeners.

    Args:
        mine: Words of one listener, in order, with times.
        theirs: Words of the other, over the same seconds.
    """
    rows, columns = _sounds(mine), _sounds(theirs)
    pairs = _cheapest(rows, columns)
    matches = tuple(_match(number, rows, columns, pairs) for number in range(len(mine)))
    shared = [Counter[int]() for _ in theirs]
    for i, j in pairs:
        if i is not None and j is not None:
            shared[columns[j].word][rows[i].word] += 1
    owners = tuple(count.most_common(1)[0][0] if count else None for count in shared)
    return Alignment(matches, owners)


def _sounds(words: Sequence[Spoken]) -> list[_Sound]:
    """The sounds of words, spread evenly over their time."""
    found = []
    for number, word in enumerate(words):
        step = (word.end_s - word.start_s) / max(1, len(word.sounds))
        found += [
            _Sound(letter, word.start_s + (place + 0.5) * step, number)
            for place, letter in enumerate(word.sounds)
        ]
    return found


def _cheapest(rows: list[_Sound], columns: list[_Sound]) -> list[tuple[int | None, int | None]]:
    """Pairs of row and column at the least cost in all; None where one has no partner."""
    costs = _table(rows, columns)
    pairs: list[tuple[int | None, int | None]] = []
    i, j = len(rows), len(columns)
    while i or j:
        if i and j and costs[i][j] == costs[i - 1][j - 1] + _cost(rows[i - 1], columns[j - 1]):
            i, j = i - 1, j - 1
            pairs.append((i, j))
        elif i and costs[i][j] == costs[i - 1][j] + MISSED[rows[i - 1].letter]:
            i -= 1
            pairs.append((i, None))
        else:
            j -= 1
            pairs.append((None, j))
    return pairs[::-1]


def _table(rows: list[_Sound], columns: list[_Sound]) -> list[list[float]]:
    line = [0.0]
    for column in columns:
        line.append(line[-1] + MISSED[column.letter])
    table = [line]
    for row in rows:
        above, missed = line, MISSED[row.letter]
        line = [above[0] + missed]
        for j, column in enumerate(columns):
            line.append(
                min(
                    above[j] + _cost(row, column),
                    above[j + 1] + missed,
                    line[j] + MISSED[column.letter],
                )
            )
        table.append(line)
    return table


def _cost(row: _Sound, column: _Sound) -> float:
    if abs(row.at_s - column.at_s) > APART_S:
        return 9.0  # never the cheapest: missing both costs 2 at most
    return MISTAKE[row.letter, column.letter]


def _match(
    number: int,
    rows: list[_Sound],
    columns: list[_Sound],
    pairs: list[tuple[int | None, int | None]],
) -> Match:
    own = [k for k, (i, _) in enumerate(pairs) if i is not None and rows[i].word == number]
    if not own:
        return Match(0.0, 0, 0)
    stretch = pairs[own[0] : own[-1] + 1]
    cost = 0.0
    for i, j in stretch:
        if i is None:
            cost += MISSED[columns[j or 0].letter]
        elif j is None:
            cost += MISSED[rows[i].letter]
        else:
            cost += MISTAKE[rows[i].letter, columns[j].letter]
    touched = [columns[j].word for _, j in stretch if j is not None]
    if not touched:
        return Match(0.0, 0, 0)
    return Match(max(0.0, 1.0 - cost / len(stretch)), min(touched), max(touched) + 1)
