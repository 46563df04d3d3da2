"""A loudspeaker that plays nothing and counts, and utterances with times."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES
from dictate.audio.speaker import Sound
from dictate.model import Utterance, Word


class QuietPlayer:
    """Plays on a clock that the test sets."""

    latency_s = 0.1

    def __init__(self) -> None:
        self.now_s = 0.0
        self.until_s = 0.0
        self.played: list[Sound] = []
        self.stopped = 0

    def play(self, sound: Sound) -> None:
        self.played.append(sound)
        self.until_s = self.now_s + sound.duration_s

    def stop(self) -> None:
        if self.sounding():
            self.stopped += 1
        self.until_s = self.now_s

    def sounding(self) -> bool:
        return self.now_s < self.until_s


class ParrotVoice:
    """Says every sentence as silence of a fixed length for each letter, and notes it down."""

    name = "parrot"
    letter_s = 0.06

    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, sentence: str) -> Sound:
        self.said.append(sentence)
        letters = sum(map(str.isalnum, sentence))
        return Sound(bytes(SAMPLE_BYTES * int(letters * self.letter_s * RATE_HZ)))


@pytest.fixture
def player() -> QuietPlayer:
    return QuietPlayer()


@pytest.fixture
def voice() -> ParrotVoice:
    return ParrotVoice()


Say = Callable[..., Utterance]


@pytest.fixture
def timed() -> Say:
    """Text to an utterance whose words last as long as their letters."""

    def make(
        text: str, start_s: float = 0.0, letter_s: float = 0.06, confidence: float = 1.0
    ) -> Utterance:
        words: list[Word] = []
        at, position = start_s, 0
        for word in text.split():
            until, end = at + letter_s * len(word), position + len(word)
            words.append(Word(word, position, end, at, until, confidence))
            at, position = until, end + 1
        return Utterance("u1", text, start_s, at, tuple(words))

    return make
