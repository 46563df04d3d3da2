"""Which commas and full stops of the adapted listener stand: those where somebody paused.

It writes marks as it was taught, also where a sentence only looks as if it went on anew ("light
touch reduced. left hand pinprick normal"), and a mark that nobody paused for gives a value to the
wrong side. The taught listener's times tell where there was a pause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from itertools import pairwise

from dictate.model import Word
from dictate.recognise.joining import HeardWord
from dictate.recognise.page import PAUSE_S
from dictate.recognise.weighing import bare

#: Between words that the taught listener did not hear, a shorter pause near by will do, and so far
#: apart may the two listeners' times of one place lie (seconds). On 617 findings of the voices to
#: tune with, clean, this left 2 silent errors of 5, and the demo was heard alike over 32 shifts
#: of its sound.
SHORT_S, NEAR_S = 0.06, 0.25


def paused(heard: Sequence[HeardWord], timed: Sequence[Word]) -> list[HeardWord]:
    """The words, without the marks for which nobody paused.

    Args:
        heard: Words with their marks.
        timed: What the taught listener heard of the same sound; without words all marks stay.
    """
    times = [(word.start_s or 0.0, word.end_s or 0.0) for word in timed]
    if not times:
        return list(heard)
    same = _same(heard, timed)
    pauses = [
        (end_s, start_s)
        for (_, end_s), (start_s, _) in pairwise(times)
        if start_s - end_s >= SHORT_S
    ]
    found = list(heard)
    for place, (word, after) in enumerate(pairwise(heard)):
        plain = bare(word.text)
        if plain == word.text:
            continue
        one, next_one = same.get(place), same.get(place + 1)
        if one is not None and next_one == one + 1:
            stands = times[next_one][0] - times[one][1] >= PAUSE_S
        else:
            stands = any(a - NEAR_S <= after.start_s <= b + NEAR_S for a, b in pauses)
        if not stands:
            found[place] = replace(word, text=plain)
    return found


def _same(heard: Sequence[HeardWord], timed: Sequence[Word]) -> dict[int, int]:
    """The place of each word among the other's, where both heard it."""
    plain = [bare(word.text) for word in heard]
    matcher = SequenceMatcher(None, plain, [w.text.lower() for w in timed], autojunk=False)
    return {
        block.a + n: block.b + n
        for block in matcher.get_matching_blocks()
        for n in range(block.size)
    }
