"""Sounds made for the tests, in any format the decoder's own library can write."""

from __future__ import annotations

import io
import wave
from collections.abc import Iterator
from types import SimpleNamespace

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from dictate.audio.source import RATE_HZ, AudioChunk


def sine(
    seconds: float, *, rate: int = RATE_HZ, hertz: float = 440.0, peak: float = 8000.0
) -> NDArray[np.int16]:
    """Samples of a sine."""
    time = np.arange(round(seconds * rate)) / rate
    return np.clip(np.rint(peak * np.sin(2 * np.pi * hertz * time)), -32768, 32767).astype(np.int16)


def wav(samples: NDArray[np.int16], *, rate: int = RATE_HZ, channels: int = 1) -> bytes:
    """A WAV file with the same samples on each channel."""
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(np.repeat(samples[:, None], channels, axis=1).astype("<i2").tobytes())
    return file.getvalue()


def encoded(container: str, codec: str, samples: NDArray[np.int16], rate: int = 48_000) -> bytes:
    """A file of another format, mono."""
    file = io.BytesIO()
    with av.open(file, "w", format=container) as out:
        stream = out.add_stream(codec, rate=rate)
        stream.layout = "mono"
        frame = av.AudioFrame.from_ndarray(samples[None, :], format="s16", layout="mono")
        frame.sample_rate = rate
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            out.mux(packet)
    return file.getvalue()


class Samples:
    """A source of given samples, in chunks of any size."""

    duration_s: float | None = None

    def __init__(self, samples: NDArray[np.int16], chunk: int = 4000) -> None:
        self.notices: list[str] = []
        self._samples, self._chunk = samples, chunk

    def chunks(self) -> Iterator[AudioChunk]:
        for at in range(0, len(self._samples), self._chunk):
            piece = self._samples[at : at + self._chunk].astype("<i2").tobytes()
            yield AudioChunk(piece, at / RATE_HZ)


@pytest.fixture
def sounds() -> SimpleNamespace:
    """The makers of sounds above."""
    return SimpleNamespace(sine=sine, wav=wav, encoded=encoded, Samples=Samples)
