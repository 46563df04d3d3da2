"""The loudspeaker, through PortAudio. A sound plays on its own; the caller goes on at once."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from dictate.audio.resample import resampled
from dictate.audio.source import RATE_HZ, SAMPLE_BYTES
from dictate.errors import UsageError

#: Used where the device does not tell how long sound takes to reach the air (seconds).
_LATENCY_S = 0.1


@dataclass(frozen=True, slots=True)
class Sound:
    """A sound to be played: 16 kHz mono, little-endian int16."""

    samples: bytes

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / (RATE_HZ * SAMPLE_BYTES)


class Player(Protocol):
    """What plays sounds: the loudspeaker, or in tests something that only counts."""

    @property
    def latency_s(self) -> float:
        """How long a sound takes from ``play`` to the air, in seconds."""
        ...

    def play(self, sound: Sound) -> None:
        """Begin to play a sound and return at once; what still sounds is cut off."""
        ...

    def stop(self) -> None:
        """Be silent at once."""
        ...

    def sounding(self) -> bool:
        """Whether a sound is being played."""
        ...


class Speaker:
    """The loudspeaker of this machine."""

    def __init__(self, device: int | str | None = None) -> None:
        """Find the device; it is held open only while something sounds.

        Args:
            device: PortAudio's number or name; None for the usual one.

        Raises:
            UsageError: There is none, or it cannot be opened.
        """
        self._lock = threading.Lock()
        self._left = b""
        self._device = device
        self._stream: Any = None
        self._portaudio = _portaudio()
        self._rate_hz = self._open()

    @property
    def latency_s(self) -> float:
        """How long a sound takes from ``play`` to the air, in seconds, as PortAudio tells it."""
        told = float(self._stream.latency) if self._stream is not None else 0.0
        return told if told > 0 else _LATENCY_S

    def play(self, sound: Sound) -> None:
        """Begin to play a sound and return at once; what still sounds is cut off.

        Raises:
            UsageError: The device has gone.
        """
        self.stop()
        with self._lock:
            self._left = _at_rate(sound, self._rate_hz)
        try:
            self._stream.start()
        except self._portaudio.PortAudioError as fault:
            self._left = b""
            raise _refused(fault) from None

    def stop(self) -> None:
        """Be silent at once, whatever the device says to it."""
        with self._lock:
            self._left = b""
        try:
            self._stream.abort()
        except self._portaudio.PortAudioError:
            return

    def sounding(self) -> bool:
        """Whether a sound is being played."""
        return bool(self._stream.active)

    def close(self) -> None:
        """Be silent and let the device go."""
        self.stop()
        self._stream.close()

    def _open(self) -> int:
        """Open the device at our rate, or where it has no such rate at its own."""
        try:
            usual = int(self._portaudio.query_devices(self._device, "output")["default_samplerate"])
        except (ValueError, self._portaudio.PortAudioError) as fault:
            raise _refused(fault) from None
        for rate_hz in (RATE_HZ, usual):
            try:
                self._stream = self._portaudio.RawOutputStream(
                    samplerate=rate_hz,
                    device=self._device,
                    channels=1,
                    dtype="int16",
                    callback=self._fill,
                )
                return rate_hz
            except self._portaudio.PortAudioError as fault:
                last = fault
        raise _refused(last) from None

    def _fill(self, out: Any, frames: int, time: object, status: object) -> None:
        """Hand the next samples to the device; runs on PortAudio's own thread."""
        wanted = frames * SAMPLE_BYTES
        with self._lock:
            part, self._left = self._left[:wanted], self._left[wanted:]
        out[: len(part)] = part
        if len(part) < wanted:
            out[len(part) :] = bytes(wanted - len(part))
            raise self._portaudio.CallbackStop


def _at_rate(sound: Sound, rate_hz: int) -> bytes:
    if rate_hz == RATE_HZ:
        return sound.samples
    samples = np.frombuffer(sound.samples, "<i2").astype(np.float32)
    changed = np.clip(resampled(samples, RATE_HZ, rate_hz), -32768, 32767)
    return changed.astype("<i2").tobytes()


def _refused(fault: Exception) -> UsageError:
    return UsageError(
        f"The loudspeaker cannot be used ({fault}). Choose another one, or ask on the screen "
        "alone: --ask screen"
    )


def _portaudio() -> Any:
    try:
        import sounddevice
    except OSError as fault:  # the library is there and PortAudio itself is not
        raise _refused(fault) from None
    return sounddevice
