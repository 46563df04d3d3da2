"""Clipping: peaks cut off because the sound was louder than its numbers can say.

It is seen where the peaks still stand as they were cut, at the rate of the recording: brought
to another rate they are round again. So a source that resamples counts them itself.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dictate.audio.source import RATE_HZ, clock

#: Largest value of an int16 sample.
FULL_SCALE = 32_767
#: So many samples in a row at full scale are a clipped peak; a clean peak has one or two. At
#: high rates it takes as many as last as long as one at 16 kHz.
CLIPPED_RUN = 3
#: So many clipped peaks make a clipped stretch; a single click does not.
CLIPPED_PEAKS = 3
#: Clipped peaks nearer than this belong to one stretch (seconds).
SAME_STRETCH_S = 2.0
#: Stretches told one by one; the rest are counted.
TOLD = 5


def count_clipped_peaks(samples: NDArray[np.int16], rate_hz: int) -> int:
    """Count the clipped peaks in a block of sound.

    Args:
        samples: int16, one row a channel.
        rate_hz: Samples a second.

    Returns:
        Their number on the channel that has most.
    """
    full = _is_full(samples)
    if not full.any():
        return 0
    shortest = max(CLIPPED_RUN, rate_hz // RATE_HZ)
    return max(int((_runs(row)[:, 1] >= shortest).sum()) for row in full)


class ClippedStretches:
    """Where a recording is clipped, gathered as it goes by."""

    def __init__(self) -> None:
        self._stretches: list[tuple[float, float, int]] = []  # start, end (s), peaks
        self._run = 0
        self._more = 0

    def take(self, samples: NDArray[np.int16], start_s: float) -> None:
        """Look for clipped peaks in sound that has the rate it was recorded with.

        Args:
            samples: int16 at 16 kHz; a run may go on from the samples before.
            start_s: Where they start (seconds).
        """
        full = _is_full(samples)
        before, self._run = self._run, 0
        if not full.any():
            return
        for first, length in _runs(full).tolist():
            held = before if first == 0 else 0
            if held + length >= CLIPPED_RUN > held:
                at_s = start_s + first / RATE_HZ
                self.add(at_s, at_s, 1)
            if first + length == samples.size:
                self._run = held + length

    def add(self, start_s: float, end_s: float, peaks: int) -> None:
        """Add clipped peaks that lie between two places (seconds)."""
        if self._stretches:
            start, end, before = self._stretches[-1]
            if start_s - end < SAME_STRETCH_S:
                self._stretches[-1] = (start, end_s, before + peaks)
                return
            if before < CLIPPED_PEAKS:
                self._stretches.pop()
            elif len(self._stretches) > TOLD:
                self._stretches.pop()
                self._more += 1
        self._stretches.append((start_s, end_s, peaks))

    def tell(self) -> list[str]:
        """Say where the sound is clipped."""
        clipped = [stretch for stretch in self._stretches if stretch[2] >= CLIPPED_PEAKS]
        told = [
            f"the recording is clipped from {clock(start)} to {clock(end + 1)}"
            for start, end, _ in clipped[:TOLD]
        ]
        more = self._more + len(clipped[TOLD:])
        if more:
            told.append(f"the recording is clipped in {more} more places")
        return told


def _is_full(samples: NDArray[np.int16]) -> NDArray[np.bool_]:
    full: NDArray[np.bool_] = np.abs(samples.astype(np.int32)) >= FULL_SCALE - 1
    return full


def _runs(full: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Each run of true values: its first place and its length."""
    steps = np.diff(np.concatenate([[False], full, [False]]).astype(np.int8))
    edges = np.flatnonzero(steps).reshape(-1, 2)
    return np.stack([edges[:, 0], edges[:, 1] - edges[:, 0]], axis=1)
