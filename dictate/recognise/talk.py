"""Talk told from statements by ear: which of two listeners was surer of what it heard.

A listener that was taught the trade hears words of the trade in everything. In talk it is less
sure of them than the open listener is of plain English; in a statement it is the other way round.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from difflib import SequenceMatcher
from itertools import groupby

from dictate.recognise.align import Alignment, Spoken

#: A stretch was talk where TALK_LIKENESS times the likeness, plus TALK_TAUGHT times the taught
#: listener's confidence, less the open one's, is below TALK: fitted by logistic regression.
TALK_LIKENESS, TALK_TAUGHT, TALK = 0.25, 1.3, 0.46
#: So many words that only the open listener heard are talk; fewer are noise (words).
SENTENCE = 3
#: How far around a word that is measured (seconds).
AROUND_S = 2.0
#: Two others heard a sentence of at least so many words alike (0 to 1), the taught listener less
#: by so much, and at most such a part of the words is of the trade. On 909 findings of the voices
#: to tune with it changed nothing; of 37 questions in talk it left 27.
WORDS, ALIKE, LESS, OF_THE_TRADE = 4, 0.7, 0.1, 0.5


def talk_in(mine: list[Spoken], theirs: list[Spoken], lines: Alignment) -> list[bool]:
    """Tell which of my words stand where talk was heard; single words are as their neighbours."""
    found = []
    for word in mine:
        near = [k for k, other in enumerate(mine) if _near(word, other)]
        long = sum(_length(mine[k]) for k in near)
        like = sum(lines.matches[k].likeness * _length(mine[k]) for k in near) / long
        sure = sure_of([other for other in theirs if _near(word, other)])
        own = sure_of([mine[k] for k in near])
        found.append(TALK_LIKENESS * like + TALK_TAUGHT * own - sure < TALK)
    for kind, run in [(k, list(g)) for k, g in groupby(range(len(found)), found.__getitem__)]:
        if len(run) < SENTENCE and len(run) < len(found):
            for k in run:
                found[k] = not kind
    return found


def is_plain_talk(
    mine: Sequence[str], taught: Sequence[str], other: Sequence[str], trade: Collection[str]
) -> bool:
    """Tell whether the taught listener alone heard words of the trade in a sentence of talk.

    Args:
        mine: Words of the adapted listener.
        taught: Words of the taught one.
        other: Words of the open one.
        trade: Words of the trade.
    """
    if len(mine) < WORDS or sum(word in trade for word in mine) > OF_THE_TRADE * len(mine):
        return False
    alike = _alike(mine, other)
    return alike >= ALIKE and alike - _alike(mine, taught) >= LESS


def _alike(one: Sequence[str], other: Sequence[str]) -> float:
    return SequenceMatcher(None, list(one), list(other), autojunk=False).ratio()


def sure_of(words: Sequence[Spoken]) -> float:
    """The mean confidence over the time of words; 0 where there are none."""
    long = sum(map(_length, words))
    return sum(word.confidence * _length(word) for word in words) / long if long else 0.0


def _near(word: Spoken, other: Spoken) -> bool:
    return other.end_s > word.start_s - AROUND_S and other.start_s < word.end_s + AROUND_S


def _length(word: Spoken) -> float:
    return max(0.05, word.end_s - word.start_s)
