"""Short tones: for those who want no voice, and where none is installed.

Two pitches, so that their order tells what it is: up asks, down says that something is wrong.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from dictate.audio.source import RATE_HZ
from dictate.audio.speaker import Sound

Tone = Literal["asks", "trouble", "done"]

LOW_HZ = 440.0
HIGH_HZ = 660.0
#: Length of one pitch in seconds.
LENGTH_S = 0.12
#: A rise and a fall this long (seconds) keep it from clicking.
_FADE_S = 0.015
_LOUDNESS = 0.25
_PITCHES: dict[Tone, tuple[float, ...]] = {
    "asks": (LOW_HZ, HIGH_HZ),
    "trouble": (HIGH_HZ, LOW_HZ),
    "done": (HIGH_HZ,),
}


def tone(kind: Tone) -> Sound:
    """Make a tone.

    Args:
        kind: "asks" rises, "trouble" falls, "done" is one short high pitch.
    """
    time_s = np.arange(int(LENGTH_S * RATE_HZ)) / RATE_HZ
    edge = np.minimum(time_s, time_s[::-1]) / _FADE_S
    swell = np.sin(np.clip(edge, 0, 1) * np.pi / 2) ** 2
    parts = [np.sin(2 * np.pi * hz * time_s) * swell for hz in _PITCHES[kind]]
    samples = np.concatenate(parts) * _LOUDNESS
    return Sound((samples * 32767).astype("<i2").tobytes())
