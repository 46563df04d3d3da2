"""The words of an utterance put right by hand: where they were spoken, as far as that is known."""

from __future__ import annotations

import re
from dataclasses import replace
from difflib import SequenceMatcher

from dictate.model import Hearing, Utterance, Word

_WORD = re.compile(r"\S+")
#: Whose words the old ones are, among the hearings of a corrected utterance.
BEFORE = "before"


def corrected(utterance: Utterance, text: str) -> Utterance:
    """An utterance with other words; those that stay keep their times.

    Words that are new share the time of those in whose place they stand. What listeners heard and
    disputed is of the old words and is left behind, but for the text as it was.

    Args:
        utterance: As it was heard.
        text: Its words as they should be.
    """
    spoken = [word for word in utterance.words if word.start_s is not None]
    found = list(_WORD.finditer(text))
    words = tuple(_timed(found, spoken)) if spoken else ()
    hearing = Hearing(BEFORE, utterance.text, utterance.words)
    return replace(
        utterance, text=text, words=words, hearings=(hearing,), disputed=(), readings=(),
        hand="corrected",
    )  # fmt: skip


def _timed(found: list[re.Match[str]], spoken: list[Word]) -> list[Word]:
    old = [_plain(word.text) for word in spoken]
    new = [_plain(match.group()) for match in found]
    times: list[tuple[float | None, float | None]] = [(None, None)] * len(new)
    for what, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "equal":
            for i in range(b - a):
                times[c + i] = spoken[a + i].start_s, spoken[a + i].end_s
            continue
        start, end = _between(spoken, a, b)
        for i in range(c, d):
            share = (end - start) / max(1, d - c)
            times[i] = round(start + share * (i - c), 3), round(start + share * (i - c + 1), 3)
    return [
        Word(match.group(), match.start(), match.end(), start_s, end_s)
        for match, (start_s, end_s) in zip(found, times, strict=True)
    ]


def _between(spoken: list[Word], a: int, b: int) -> tuple[float, float]:
    """The time of some words; where there are none, the gap between their neighbours."""
    if a < b:
        return spoken[a].start_s or 0.0, spoken[b - 1].end_s or 0.0
    start = spoken[a - 1].end_s if a else spoken[0].start_s
    end = spoken[a].start_s if a < len(spoken) else spoken[-1].end_s
    return start or 0.0, max(start or 0.0, end or 0.0)


def _plain(text: str) -> str:
    return text.casefold().strip(".,;:!?")
