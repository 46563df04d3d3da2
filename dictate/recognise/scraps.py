"""Scraps of spellings, and the word that they sound like.

A word that the model does not know is spelt in words that it does ("flicks shun"). What is heard
may be a part of one spelling and a part of another ("flexes and"), which no list holds. Words that
only ever stand in a spelling are nobody's words, so what sounds like their stretch is meant.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from dictate.model import Word
from dictate.recognise.sounds import likeness, sounds_of

#: A stretch must sound so much like the word (0 to 1), and so much more than like any other.
#: Chosen on two of the voices of ``tests/benchmarks/hear``; the others were not looked at.
LIKE, LEAD = 0.72, 0.04
#: The longest stretch, in words; a silence in it (seconds) ends it.
LONGEST, GAP_S = 6, 0.15
#: Words compared by sound in full, of those that are near by their letters of sound.
_NEAREST = 12


@dataclass(frozen=True, slots=True)
class Mended:
    """Words ``first`` to ``last`` (end exclusive) stand for one real word."""

    first: int
    last: int
    word: str


class Scraps:
    """Knows the words that only stand in spellings, and how the real ones sound."""

    def __init__(self, back: Mapping[tuple[str, ...], str], own: Collection[str]) -> None:
        """Collect them.

        Args:
            back: The spellings, and the words that they stand for.
            own: Words that forms of the grammar hold as they are.
        """
        parts = {word for spelling in back for word in spelling}
        self._scraps = frozenset(parts - set(own))
        self._parts = frozenset(parts)
        ways: dict[tuple[str, str], None] = {}
        for spelling, real in back.items():
            ways[_sounds(spelling), real] = None
            for way in sounds_of(real.lower()):
                ways[way, real] = None
        self._ways = list(ways)
        self._sounds = [sounds for sounds, _ in self._ways]

    def find(self, words: Sequence[Word]) -> list[Mended]:
        """The stretches with scraps in them that sound like one word each, in order.

        Args:
            words: As the engine heard them, whole spellings turned back already.
        """
        found: list[Mended] = []
        i = 0
        while i < len(words):
            best = self._best(words, i, found[-1].last if found else 0)
            if best is None:
                i += 1
                continue
            found.append(best)
            i = best.last
        return found

    def _best(self, words: Sequence[Word], at: int, free: int) -> Mended | None:
        """The word that the likest stretch around a scrap sounds like."""
        if words[at].text not in self._scraps:
            return None
        best: tuple[float, int, Mended] | None = None
        for first in range(at, max(free, at - LONGEST) - 1, -1):
            if not self._part(words, first):
                break
            for last in range(at + 1, min(len(words), first + LONGEST) + 1):
                if not self._part(words, last - 1) or _parted(words, first, last):
                    break
                like, word = self._nearest(_sounds([w.text for w in words[first:last]]))
                rated = (like, last - first, Mended(first, last, word))
                if word and (best is None or rated[:2] > best[:2]):
                    best = rated
        return best[2] if best else None

    def _part(self, words: Sequence[Word], i: int) -> bool:
        return words[i].text in self._parts

    def _nearest(self, sounds: str) -> tuple[float, str]:
        """The word, and how alike; an empty word where none is near or two are alike."""
        near = process.extract(sounds, self._sounds, scorer=Levenshtein.distance, limit=_NEAREST)
        likes: dict[str, float] = {}
        for _, _, k in near:
            way, word = self._ways[k]
            likes[word] = max(likes.get(word, 0.0), likeness(way, sounds))
        rated = sorted(((like, word) for word, like in likes.items()), reverse=True)
        if not rated or rated[0][0] < LIKE:
            return 0.0, ""
        second = rated[1][0] if len(rated) > 1 else 0.0
        return rated[0] if rated[0][0] >= second + LEAD else (0.0, "")


def _sounds(words: Sequence[str]) -> str:
    return "".join(next(iter(sounds_of(word)), "") for word in words)


def _parted(words: Sequence[Word], first: int, last: int) -> bool:
    """A silence stands before the last word of the stretch."""
    if last - first < 2:
        return False
    before, after = words[last - 2].end_s, words[last - 1].start_s
    return before is not None and after is not None and after - before > GAP_S
