"""Sound at another rate, with PyAV (ffmpeg): of a file, a microphone, or in memory at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import av
import numpy as np
from numpy.typing import NDArray

from dictate.audio.clipping import count_clipped_peaks
from dictate.audio.source import RATE_HZ


@dataclass(frozen=True, slots=True)
class Sound:
    """Decoded samples, int16 at 16 kHz, one row a channel.

    ``clipped`` counts the clipped peaks of what went in, at the rate of the recording.
    """

    samples: NDArray[np.int16]
    clipped: int = 0


def resampled(samples: NDArray[np.float32], from_hz: int, to_hz: int) -> NDArray[np.float32]:
    """Bring a short sound that is in memory at once to another rate.

    Args:
        samples: One channel.
        from_hz: Their rate in samples a second.
        to_hz: The rate wanted.

    Returns:
        As much sound at the new rate; the same samples where the rate is the same.
    """
    if from_hz == to_hz or not len(samples):
        return samples
    row = np.ascontiguousarray(samples, np.float32)[np.newaxis]
    frame = av.AudioFrame.from_ndarray(row, format="fltp", layout="mono")
    frame.sample_rate = from_hz
    resampler = av.AudioResampler("fltp", "mono", to_hz)
    parts = [*resampler.resample(frame), *resampler.resample(None)]
    return np.concatenate([part.to_ndarray()[0] for part in parts])


class LiveResampling:
    """Brings blocks of a live sound to 16 kHz; less than a millisecond stays inside."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        """Prepare.

        Args:
            rate_hz: Samples a second of what comes in.
            channels: Its channels.
        """
        self._rate_hz, self._layout = rate_hz, f"{channels}c"
        self._resampling = Resampling()

    def convert(self, block: NDArray[np.int16]) -> Sound:
        """Convert the next block.

        Args:
            block: int16, one row a channel.
        """
        joined = np.ascontiguousarray(block)
        frame = av.AudioFrame.from_ndarray(joined, format="s16p", layout=self._layout)
        frame.sample_rate = self._rate_hz
        parts = list(self._resampling.convert(frame))
        clipped = sum(part.clipped for part in parts)
        empty = np.zeros((len(block), 0), np.int16)
        return Sound(np.concatenate([empty, *(p.samples for p in parts)], axis=1), clipped)


class Resampling:
    """Brings frames to 16 kHz int16, and starts anew where their shape changes."""

    def __init__(self) -> None:
        self._to_int16: av.AudioResampler | None = None
        self._to_16_khz: av.AudioResampler | None = None
        self._shape: tuple[str, str, int] | None = None

    def convert(self, frame: av.AudioFrame) -> Iterator[Sound]:
        """Convert one frame; some of it may come out only with the next."""
        shape = (frame.format.name, frame.layout.name, frame.rate)
        if shape != self._shape:
            yield from self.end()
            self._to_int16 = av.AudioResampler("s16p", frame.layout, frame.rate)
            self._to_16_khz = av.AudioResampler("s16p", frame.layout, RATE_HZ)
            self._shape = shape
        assert self._to_int16 is not None
        frame.pts = None  # times are kept by the timeline
        for whole in self._to_int16.resample(frame):
            clipped = count_clipped_peaks(_samples(whole), frame.rate)
            yield from self._resample(whole, clipped)

    def end(self) -> Iterator[Sound]:
        """Hand out what is still inside."""
        if self._to_16_khz is not None:
            yield from self._resample(None, 0)
        self._to_int16 = self._to_16_khz = self._shape = None

    def _resample(self, frame: av.AudioFrame | None, clipped: int) -> Iterator[Sound]:
        assert self._to_16_khz is not None
        if frame is not None:
            frame.pts = None
        for converted in self._to_16_khz.resample(frame):
            yield Sound(_samples(converted), clipped)
            clipped = 0
        if clipped:  # nothing has come out yet
            yield Sound(np.zeros((1, 0), np.int16), clipped)


def _samples(frame: av.AudioFrame) -> NDArray[np.int16]:
    return frame.to_ndarray().astype(np.int16, copy=False)
