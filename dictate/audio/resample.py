"""Samples at another rate, for short sounds that are in memory at once."""

from __future__ import annotations

from math import gcd

import numpy as np
from numpy.typing import NDArray

#: Zero crossings of the filter on either side: stop band below -70 dB with the window used.
_CROSSINGS = 16
#: Shape of the Kaiser window.
_BETA = 8.0


def resampled(samples: NDArray[np.float32], from_hz: int, to_hz: int) -> NDArray[np.float32]:
    """Bring samples to another rate with a windowed sinc filter.

    Args:
        samples: One channel.
        from_hz: Their rate in samples a second.
        to_hz: The rate wanted.

    Returns:
        As much sound at the new rate; the same samples where the rate is the same.
    """
    if from_hz == to_hz or not len(samples):
        return samples
    shared = gcd(from_hz, to_hz)
    up, down = to_hz // shared, from_hz // shared
    cutoff = min(1.0, to_hz / from_hz)
    reach = int(np.ceil(_CROSSINGS / cutoff))
    count = len(samples) * up // down
    # each output sample lies at a place between input samples, one of ``up`` different ones
    steps = np.arange(count, dtype=np.int64) * down
    whole, phase = steps // up, steps % up
    taps = np.arange(-reach + 1, reach + 1)
    away = taps[None, :] - np.arange(up)[:, None] / up
    window = np.i0(_BETA * np.sqrt(np.clip(1 - (away / reach) ** 2, 0, None))) / np.i0(_BETA)
    filters = (cutoff * np.sinc(cutoff * away) * window).astype(np.float32)
    padded = np.pad(samples, reach)
    strip = np.lib.stride_tricks.sliding_window_view(padded, len(taps))
    out = np.empty(count, np.float32)
    for one in range(up):
        chosen = phase == one
        out[chosen] = strip[whole[chosen] + 1] @ filters[one]
    return out
