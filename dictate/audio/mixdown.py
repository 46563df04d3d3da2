"""Several channels to one, without losing a voice that only one of them carries."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dictate.audio.source import RATE_HZ

#: A channel this much quieter than the loudest is left out (decibels). Chosen, no source.
MUCH_LOUDER_DB = 12.0
#: How long a channel must have been that quiet before it is left out (seconds).
HOLD_S = 1.0
#: Channels that cancel each other out: their mean lies this far under the loudest (decibels).
#: Independent channels fall by 10 log10 of their number, 9 dB for eight.
CANCELLED_DB = 13.0

Block = NDArray[np.int16]


class Mixdown:
    """Averages the channels that carry the sound; holds its weights from block to block."""

    def __init__(self) -> None:
        self._quiet: NDArray[np.int64] = np.zeros(0, dtype=np.int64)
        self._weights: NDArray[np.float32] = np.zeros(0, dtype=np.float32)

    def mix(self, block: Block) -> Block:
        """Mix one block, going over from the weights of the block before to its own.

        Args:
            block: int16 samples at 16 kHz, one row a channel.

        Returns:
            One row of int16 samples.
        """
        channels, length = block.shape
        if channels == 1 or length == 0:
            return block.reshape(channels, length)[0] if channels else np.zeros(0, np.int16)
        if self._quiet.size != channels:
            self._quiet = np.zeros(channels, dtype=np.int64)
            self._weights = np.full(channels, 1 / channels, dtype=np.float32)
        sound = block.astype(np.float32)
        weights = self._weigh(sound)
        path = np.linspace(0.0, 1.0, length, dtype=np.float32)
        gain = self._weights[:, None] * (1 - path) + weights[:, None] * path
        self._weights = weights
        mixed = np.clip(np.rint((gain * sound).sum(axis=0)), -32768, 32767)
        whole: Block = mixed.astype(np.int16)
        return whole

    def _weigh(self, sound: NDArray[np.float32]) -> NDArray[np.float32]:
        """Find the weight of each channel; together they make one."""
        power = (sound**2).mean(axis=1)
        loudest = power.max()
        near = power * 10 ** (MUCH_LOUDER_DB / 10) >= loudest
        self._quiet = np.where(near, 0, self._quiet + sound.shape[1])
        counted = self._quiet < HOLD_S * RATE_HZ
        weights: NDArray[np.float32] = (counted / counted.sum()).astype(np.float32)
        if ((weights @ sound) ** 2).mean() * 10 ** (CANCELLED_DB / 10) < loudest:
            return self._take_one(power)
        return weights

    def _take_one(self, power: NDArray[np.float32]) -> NDArray[np.float32]:
        """Give all weight to one channel, the one that has it already if that is loud enough."""
        held = int(self._weights.argmax())
        best = held if power[held] * 4 >= power.max() else int(power.argmax())
        weights = np.zeros(power.size, dtype=np.float32)
        weights[best] = 1.0
        return weights
