"""Tells what is spoken near the microphone from what is spoken behind it, by how loud it is.

Whoever examines wears or faces the microphone; others in the room are much quieter. What they say
is heard all the same, in the pauses, and must not stand in the record as if the examiner had said
it. It is told by level alone, and only beside a pause: a soft word in the midst of a loud sentence
is the examiner's.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import deque
from itertools import islice

import numpy as np

from dictate.audio.levels import FLOOR_DBFS, FRAME, frame_levels
from dictate.audio.source import RATE_HZ

#: Speech whose loudest part is this much under what is spoken near is far (dB). Measured: of 3,000
#: words of a voice that speaks alone 0.5% are so soft, all of them "of", "to" and the like in the
#: midst of a sentence; of words heard from babble at 15 dB all, half of them by 16 dB and more.
FAR_DB = 10.0
#: How loud near speech is: the level that one frame in twenty of the last seconds goes beyond.
_SHARE, _WINDOW_S = 0.95, 10.0
#: It is forgotten at this pace, so that who speaks more softly becomes near in time (dB a second).
_DECAY_DB_S = 0.1
#: The loudest part of a word is at least so long (frames; 60 ms, a short vowel).
_PART = 3
#: How long levels are kept (seconds): longer than the longest utterance.
_KEPT_S = 120.0
_FRAME_S = FRAME / RATE_HZ


class Nearness:
    """Levels of one sound as it goes by."""

    def __init__(self) -> None:
        """Begin with a new sound."""
        self._rest = np.zeros(0, dtype=np.int16)
        self._starts: deque[float] = deque(maxlen=round(_KEPT_S / _FRAME_S))
        self._levels: deque[float] = deque(maxlen=round(_KEPT_S / _FRAME_S))
        self._near: deque[float] = deque(maxlen=round(_KEPT_S / _FRAME_S))

    def take(self, samples: bytes, start_s: float) -> None:
        """Measure the next sound.

        Args:
            samples: 16 kHz mono, little-endian int16.
            start_s: Where it starts (seconds).
        """
        waiting_s = len(self._rest) / RATE_HZ
        sound = np.concatenate([self._rest, np.frombuffer(samples, "<i2").astype(np.int16)])
        whole = len(sound) // FRAME * FRAME
        self._rest = sound[whole:]
        if not whole:
            return
        levels = frame_levels(sound[:whole].reshape(-1, FRAME))
        self._starts.extend(start_s - waiting_s + k * _FRAME_S for k in range(len(levels)))
        self._levels.extend(float(level) for level in levels)
        window = round(_WINDOW_S / _FRAME_S)
        last = list(islice(self._levels, max(0, len(self._levels) - window), None))
        loud = float(np.quantile(last, _SHARE))
        before = self._near[-1] if self._near else FLOOR_DBFS
        near = max(loud, before - _DECAY_DB_S * len(levels) * _FRAME_S)
        self._near.extend(near for _ in levels)

    def under_near_db(self, start_s: float, end_s: float) -> float:
        """How far the loudest part of a stretch is under what was spoken near, up to now.

        Args:
            start_s: Where the stretch starts (seconds).
            end_s: Where it ends; not after what was taken.

        Returns:
            Decibels, negative where it is louder; 0 where its levels are not kept any more.
        """
        first, last = bisect_left(self._starts, start_s), bisect_left(self._starts, end_s)
        levels = list(islice(self._levels, first, max(last, first + _PART)))
        if len(levels) < _PART or (first == 0 and start_s < self._starts[0]):
            return 0.0
        power = np.convolve(10 ** (np.array(levels) / 10), np.ones(_PART) / _PART, "valid")
        near = max(islice(self._near, first, None))
        return near - float(10 * np.log10(power.max()))
