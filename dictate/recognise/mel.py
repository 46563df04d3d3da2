"""Sound as the adapted listener takes it: the logarithm of 80 mel bands, 100 frames a second.

As the authors of the open weights published it (Slaney's mel scale, a window of 25 ms every 10 ms).
The same code serves numpy and, where the listener is taught, jax.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

#: Samples a second, samples between two frames, samples of a window, bands.
RATE_HZ, HOP, WINDOW, BANDS = 16_000, 160, 400, 80
#: Lengths of sound that the listener is given (seconds): the shortest one that holds an utterance.
SIZES_S = (8.0, 15.0, 30.0)


def size_for(seconds: float) -> float:
    """The length of window that holds so many seconds; the longest where none does."""
    return next((size for size in SIZES_S if seconds <= size), SIZES_S[-1])


def log_mel(sound: Any, xp: Any = np) -> Any:
    """The features of whole windows of one length.

    Args:
        sound: Samples from -1 to 1, shape (windows, samples); a whole number of hops.
        xp: numpy, or what computes like it.

    Returns:
        Shape (windows, bands, frames), float32.
    """
    frames = sound.shape[-1] // HOP
    padded = xp.pad(sound, ((0, 0), (WINDOW // 2, WINDOW // 2)), mode="reflect")
    places = np.arange(frames)[:, None] * HOP + np.arange(WINDOW)[None]
    spectrum = xp.fft.rfft(padded[:, places] * _hann(), axis=-1)
    power = xp.abs(spectrum) ** 2
    bands = xp.log10(xp.maximum(power @ _filters().T, 1e-10))
    bands = xp.maximum(bands, bands.max(axis=(1, 2), keepdims=True) - 8.0)
    return xp.swapaxes((bands + 4.0) / 4.0, 1, 2).astype(np.float32)


@lru_cache(maxsize=1)
def _hann() -> NDArray[np.float32]:
    return np.asarray(np.hanning(WINDOW + 1)[:-1], np.float32)


@lru_cache(maxsize=1)
def _filters() -> NDArray[np.float32]:
    """Triangles of equal area, evenly spaced on the mel scale from 0 to 8,000 Hz."""
    edges = _to_hz(np.linspace(0.0, 15 + 27 * np.log(8000 / 1000) / np.log(6.4), BANDS + 2))
    places = np.linspace(0.0, RATE_HZ / 2, WINDOW // 2 + 1)
    width = np.diff(edges)
    rise = (places[None] - edges[:-2, None]) / width[:-1, None]
    fall = (edges[2:, None] - places[None]) / width[1:, None]
    found = np.maximum(0.0, np.minimum(rise, fall)) * (2.0 / (edges[2:] - edges[:-2]))[:, None]
    return np.asarray(found, np.float32)


def _to_hz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    linear = mel * 200.0 / 3
    return np.asarray(np.where(mel >= 15, 1000.0 * 6.4 ** ((mel - 15) / 27), linear))
