"""Results of a recogniser to utterances: a short pause does not cut a sentence in two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from dictate.model import Utterance, Word

#: Two results with a shorter pause between them are one utterance (seconds). In ordinary
#: reading the results of one sentence lay 0.2 to 0.6 s apart, those of sentences 0.8 s and more.
JOINED_PAUSE_S = 0.6
#: No joining makes an utterance longer than this (seconds).
LONGEST_JOINED_S = 30.0
#: Once this much sound (seconds) has gone by since its last word and nothing new is heard,
#: an utterance is finished: the pause, and what a recogniser lags behind the sound.
SETTLED_S = JOINED_PAUSE_S + 1.0


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word of a result; times in seconds from the start of the sound, confidence 0..1."""

    text: str
    start_s: float
    end_s: float
    confidence: float | None


class Joiner:
    """Holds the last result back until it is known whether the next one belongs to it."""

    def __init__(self) -> None:
        self._waiting: list[HeardWord] = []
        self._given = 0

    def add(self, heard: list[HeardWord]) -> Iterator[Utterance]:
        """Take one result in; yield the utterance before it, if that is finished by it."""
        if not heard:
            return
        if self._waiting and not self._belongs(heard):
            yield from self.end()
        self._waiting += heard

    def settle(self, now_s: float) -> Iterator[Utterance]:
        """Yield what waits, where nothing new is being heard long enough after it.

        Args:
            now_s: How far the sound has gone, in seconds.
        """
        if self._waiting and now_s - self._waiting[-1].end_s > SETTLED_S:
            yield from self.end()

    def end(self) -> Iterator[Utterance]:
        """Yield what waits."""
        if self._waiting:
            self._given += 1
            utterance = utterance_of(self._waiting)
            self._waiting = []
            yield replace(utterance, id=f"u{self._given}")

    def _belongs(self, heard: list[HeardWord]) -> bool:
        pause_s = heard[0].start_s - self._waiting[-1].end_s
        whole_s = heard[-1].end_s - self._waiting[0].start_s
        return pause_s < JOINED_PAUSE_S and whole_s <= LONGEST_JOINED_S


def utterance_of(heard: list[HeardWord]) -> Utterance:
    """Write words one after another, with a space between, and say where each one lies.

    Args:
        heard: At least one word, in order.

    Returns:
        The utterance, without an id.
    """
    words: list[Word] = []
    at = 0
    for word in heard:
        end = at + len(word.text)
        words.append(Word(word.text, at, end, word.start_s, word.end_s, word.confidence))
        at = end + 1
    text = " ".join(word.text for word in heard)
    return Utterance("", text, heard[0].start_s, heard[-1].end_s, tuple(words))
