"""A room around the voice: pauses between sentences, level, and people talking behind it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dictate.audio.source import CHUNK_S, RATE_HZ, AudioChunk

Sound = NDArray[np.int16]

#: Level of the voice while it speaks, as root mean square in parts of full scale (about -23 dBFS).
VOICE_LEVEL = 0.07
#: How many talk at once in the babble.
TALKERS = 6
#: Samples below this part of the loudest are pause, when the level of speech is measured.
_PAUSE = 0.02


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where a sentence stands in a sound, in seconds, and whose it is."""

    case: int
    line: int
    start_s: float
    end_s: float


def level_of(sound: Sound) -> float:
    """Root mean square of the spoken parts, in samples (pauses do not count)."""
    samples = sound.astype(np.float64)
    loud = np.abs(samples) > _PAUSE * max(1.0, float(np.abs(samples).max(initial=1.0)))
    return float(np.sqrt(np.mean(samples[loud] ** 2))) if loud.any() else 1.0


def set_out(
    lines: Sequence[tuple[int, int, Sound]], pause_s: tuple[float, float], seed: int
) -> tuple[Sound, list[Stretch]]:
    """Put sentences one after the other, all at the same level, with pauses between them.

    Args:
        lines: Case, line of the case, and its sound.
        pause_s: Shortest and longest pause in seconds.
        seed: Fixes the pauses.
    """
    draw = np.random.default_rng(seed)
    parts: list[Sound] = [np.zeros(RATE_HZ // 2, np.int16)]
    at = len(parts[0])
    places = []
    for case, line, sound in lines:
        spoken = np.clip(
            sound.astype(np.float64) * (VOICE_LEVEL * 32768 / level_of(sound)), -32000, 32000
        ).astype(np.int16)
        places.append(Stretch(case, line, at / RATE_HZ, (at + len(spoken)) / RATE_HZ))
        gap = np.zeros(int(draw.uniform(*pause_s) * RATE_HZ), np.int16)
        parts += [spoken, gap]
        at += len(spoken) + len(gap)
    return np.concatenate(parts), places


def with_babble(sound: Sound, talk: Sequence[Sound], snr_db: float, seed: int) -> Sound:
    """Lay people's talk behind a voice.

    Args:
        sound: The voice; its level is VOICE_LEVEL.
        talk: Sentences of others.
        snr_db: How far the babble lies under the voice, level against level, in dB.
        seed: Who says what when.
    """
    draw = np.random.default_rng(seed)
    babble = np.zeros(len(sound), np.float64)
    for _ in range(TALKERS):
        at = -int(draw.integers(0, RATE_HZ))
        while at < len(babble):
            said = talk[int(draw.integers(len(talk)))].astype(np.float64)
            said /= level_of(said.astype(np.int16)) or 1.0
            start, end = max(at, 0), min(at + len(said), len(babble))
            if end > start:
                babble[start:end] += said[start - at : end - at]
            at += len(said) + int(draw.integers(0, RATE_HZ // 4))
    babble *= VOICE_LEVEL * 32768 / 10 ** (snr_db / 20) / float(np.sqrt(np.mean(babble**2)))
    return np.clip(sound + babble, -32768, 32767).astype(np.int16)


class Played:
    """A sound in memory as a source."""

    def __init__(self, sound: Sound) -> None:
        """Take samples, 16 kHz mono int16."""
        self.notices: list[str] = []
        self.duration_s = len(sound) / RATE_HZ
        self._sound = sound

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the sound."""
        step = int(CHUNK_S * RATE_HZ)
        for at in range(0, len(self._sound), step):
            piece = self._sound[at : at + step].astype("<i2").tobytes()
            yield AudioChunk(piece, at / RATE_HZ)
