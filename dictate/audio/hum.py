"""Hum: the mains' frequency and its harmonics, steady through a recording.

It comes from a cable or a plug and not from the room, and recognisers do not mind it much; so it
is told apart from noise that hides words.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dictate.audio.clipping import FULL_SCALE
from dictate.audio.source import RATE_HZ

#: The frequencies of mains (hertz).
MAINS_HZ = (50, 60)
#: How many harmonics of each are looked at; the first is the frequency itself. Voices have no
#: sound at the first, and it is by that one that hum is known.
HARMONICS = 6
#: Quieter hum is not looked for (dBFS).
FAINTEST_DBFS = -70.0
#: A line of the spectrum stands out by so much from the spectrum around it (decibels).
STANDS_OUT_DB = 10.0
#: Hum is there in all but this part of the seconds.
MISSED_SHARE = 0.2
#: Fewer seconds are too few to call a sound steady.
FEWEST_S = 3

#: Half the width of a line (hertz): that of the window, and what mains stray.
_WIDTH = 2
#: From where to where around a line its surroundings are measured (hertz).
_AROUND = (4, 9)
_LEVELS = int(-FAINTEST_DBFS) + 4
_WINDOW = np.hanning(RATE_HZ + 1)[:-1]


class Hum:
    """Looks for hum in a sound as it goes by, second by second."""

    def __init__(self) -> None:
        """Begin with a new sound."""
        self._rest: NDArray[np.int16] = np.zeros(0, np.int16)
        self._seconds = 0
        # how often each line had each level, in decibels above the faintest; 0 is below it
        self._counts = np.zeros((len(MAINS_HZ), HARMONICS, _LEVELS), np.int64)

    def take(self, samples: NDArray[np.int16]) -> None:
        """Take the next samples, int16 at 16 kHz."""
        samples = np.concatenate([self._rest, samples])
        while samples.size >= RATE_HZ:
            self._count(samples[:RATE_HZ])
            samples = samples[RATE_HZ:]
        self._rest = samples

    def find(self) -> tuple[int, float] | None:
        """The frequency of the hum in hertz and its level in dBFS; None where there is none."""
        if self._seconds < FEWEST_S:
            return None
        found = []
        for number, hertz in enumerate(MAINS_HZ):
            levels = [self._steady(counts) for counts in self._counts[number]]
            if levels[0]:
                power = sum(10 ** ((FAINTEST_DBFS + level) / 10) for level in levels if level)
                found.append((float(10 * np.log10(power)), hertz))
        return (max(found)[1], max(found)[0]) if found else None

    def _steady(self, counts: NDArray[np.int64]) -> int:
        """The level that a line has in nearly every second."""
        return int(np.searchsorted(np.cumsum(counts), MISSED_SHARE * self._seconds, side="right"))

    def _count(self, second: NDArray[np.int16]) -> None:
        spectrum = np.abs(np.fft.rfft(second * _WINDOW / FULL_SCALE)) ** 2
        spectrum *= 4 / (RATE_HZ * (_WINDOW**2).sum())  # a full-scale sine has 1
        self._seconds += 1
        for number, hertz in enumerate(MAINS_HZ):
            for harmonic in range(HARMONICS):
                level = _line_level(spectrum, hertz * (harmonic + 1))
                self._counts[number, harmonic, level] += 1


def _line_level(spectrum: NDArray[np.float64], hertz: int) -> int:
    """A line's level in decibels above the faintest; 0 where none stands out."""
    line = float(spectrum[hertz - _WIDTH : hertz + _WIDTH + 1].mean())
    near, far = _AROUND
    below = spectrum[hertz - far : hertz - near]
    above = spectrum[hertz + near + 1 : hertz + far + 1]
    around = float(np.concatenate([below, above]).mean())
    if line < 10 ** (STANDS_OUT_DB / 10) * max(around, 1e-15):
        return 0
    level = 10 * np.log10(line * (2 * _WIDTH + 1)) - FAINTEST_DBFS
    return int(np.clip(round(level), 0, _LEVELS - 1))
