"""A trace of noise under the sound, the same each time.

The engine's features need it, since digital silence has no spectrum (52% more words were wrong
without any). The engine's own comes by chance, and the same sound was heard in other words from
one time to the next.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES

#: Standard deviation of the noise (steps of a 16 bit sample): that of Kaldi's own.
STEPS = 1.0
_SECONDS, _SEED = 20, 1
_RANGE = np.iinfo(np.int16)


class Dither:
    """Noise for one pass over one sound."""

    def __init__(self) -> None:
        """Begin with the first sample."""
        self._at = 0

    def under(self, samples: bytes) -> bytes:
        """The next samples with the noise under them.

        Args:
            samples: 16 kHz mono, little-endian int16.
        """
        sound = np.frombuffer(samples[: len(samples) // SAMPLE_BYTES * SAMPLE_BYTES], "<i2")
        noise = _noise()
        spots = (self._at + np.arange(len(sound))) % len(noise)
        self._at += len(sound)
        mixed = sound.astype(np.int32) + noise[spots]
        return bytes(np.clip(mixed, _RANGE.min, _RANGE.max).astype("<i2").tobytes())


@lru_cache(maxsize=1)
def _noise() -> NDArray[np.int32]:
    random = np.random.default_rng(_SEED)
    return np.rint(random.normal(0.0, STEPS, _SECONDS * RATE_HZ)).astype(np.int32)
