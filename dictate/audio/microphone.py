"""The microphone, through PortAudio: any input device at any rate, as 16 kHz blocks.

The device may go at any moment (a plug pulled, a sound server restarted). That is said, it is
looked for every second, and the time without sound stays a hole in the times of the chunks.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from time import monotonic
from typing import Any

import numpy as np

from dictate.audio.keep import LONGEST_SILENCE_S
from dictate.audio.mixdown import Mixdown
from dictate.audio.resample import LiveResampling
from dictate.audio.source import AudioChunk
from dictate.errors import UsageError

#: Length of a block (seconds): what a word waits at most before it is looked at.
BLOCK_S = 0.05
#: A device that gives nothing for so long has gone (seconds).
SILENT_S = 2.0
#: How often a device that has gone is looked for (seconds).
RETRY_S = 1.0
#: Lost sound shorter than this moves no times (seconds).
_SLIP_S = 0.1
#: Lost sound is told at most this often (seconds).
_TELL_AGAIN_S = 10.0

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class InputDevice:
    """A device that sound can come from; ``rate_hz`` is what it gives of itself."""

    name: str
    channels: int
    rate_hz: int
    usual: bool


def input_devices() -> list[InputDevice]:
    """List the input devices of this machine.

    Raises:
        UsageError: PortAudio is not installed.
    """
    sound = _portaudio()
    usual = sound.default.device[0]
    return [
        InputDevice(
            str(found["name"]), int(found["max_input_channels"]),
            round(found["default_samplerate"]), number == usual,
        )
        for number, found in enumerate(sound.query_devices())
        if found["max_input_channels"] > 0
    ]  # fmt: skip


class Microphone:
    """An input device as a source of sound; it ends when ``stop`` is called.

    Attributes:
        duration_s: None: it goes on.
        notices: How much sound was lost, in sentences.
    """

    duration_s: float | None = None

    def __init__(
        self,
        device: str | None,
        tell: Tell,
        start_s: float = 0.0,
        sound: Any = None,
        clock: Callable[[], float] = monotonic,
        look_anew: Callable[[], None] | None = None,
    ) -> None:
        """Choose a device; it is opened when its chunks are asked for.

        Args:
            device: A part of its name that no other has; None for the usual one.
            tell: Takes a sentence when the device goes and when it is back.
            start_s: Where its sound starts, in seconds of the dictation.
            sound: What stands for the package sounddevice.
            clock: Seconds that go on with the time of day.
            look_anew: Makes PortAudio list the devices anew; it must close every stream first.
        """
        self._device, self._tell, self._clock = device, tell, clock
        self._sound = sound or _portaudio()
        self._look_anew = look_anew or list_anew
        self._next_s = start_s
        self._stopped = threading.Event()
        self._lost = 0
        self._told_s: float | None = None

    @property
    def notices(self) -> list[str]:
        """What the reader of the record should know."""
        if not self._lost:
            return []
        return [f"sound was lost {self._lost} times: the computer was too busy"]

    def stop(self) -> None:
        """Let the chunks end soon; may be called from any thread."""
        self._stopped.set()

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield blocks of 50 ms as they are heard.

        Raises:
            UsageError: At the start there is no such device, or it cannot be opened.
        """
        run = _Run(self._sound, self._device)
        while not self._stopped.is_set():
            yield from self._read(run)
            run.close()
            if not self._stopped.is_set():
                self._tell(f"The microphone has gone ({run.name}). It is looked for every second.")
                gone_s = self._clock()
                run = self._wait_for_it(run)
                if not self._stopped.is_set():
                    away_s = self._clock() - gone_s + SILENT_S
                    self._next_s += min(away_s, LONGEST_SILENCE_S)
                    self._tell(f"The microphone is back ({run.name}).")
        run.close()

    def _read(self, run: _Run) -> Iterator[AudioChunk]:
        """The blocks of one opening of the device, until it gives nothing more."""
        began_s, first_s = self._clock(), self._next_s
        while not self._stopped.is_set():
            try:
                data, lost = run.blocks.get(timeout=SILENT_S)
            except Empty:
                return
            if lost:
                self._count_lost(self._clock() - began_s - (self._next_s - first_s))
            sound = run.convert(data)
            self._next_s += sound.duration_s
            yield AudioChunk(sound.samples, self._next_s - sound.duration_s, sound.clipped)

    def _count_lost(self, behind_s: float) -> None:
        self._lost += 1
        if behind_s > _SLIP_S:
            self._next_s += behind_s
        if self._told_s is None or self._clock() - self._told_s > _TELL_AGAIN_S:
            self._told_s = self._clock()
            self._tell("Some sound was lost: the computer is too busy. Close other programs.")

    def _wait_for_it(self, run: _Run) -> _Run:
        """Look for the device until it gives sound; one that only opens may be a shadow."""
        while not self._stopped.wait(RETRY_S):
            self._look_anew()
            try:
                found = _Run(self._sound, self._device)
            except UsageError:
                continue
            if found.gives_sound():
                return found
            found.close()
        return run


class _Run:
    """One opening of the device."""

    def __init__(self, sound: Any, device: str | None) -> None:
        """Open it.

        Raises:
            UsageError: It is not there, or cannot be opened.
        """
        self.blocks: SimpleQueue[tuple[bytes, bool]] = SimpleQueue()
        try:
            found = sound.query_devices(device, "input")
            self.name = str(found["name"])
            rate_hz = round(found["default_samplerate"])
            self._channels = min(2, int(found["max_input_channels"]))
            self._stream = sound.RawInputStream(
                samplerate=rate_hz, blocksize=round(rate_hz * BLOCK_S), device=device,
                channels=self._channels, dtype="int16", latency="low", callback=self._take,
            )  # fmt: skip
            self._stream.start()
        except (ValueError, sound.PortAudioError) as fault:
            raise _not_found(device, fault) from None
        self._resampling = LiveResampling(rate_hz, self._channels)
        self._mixdown = Mixdown()

    def convert(self, data: bytes) -> AudioChunk:
        """Bring a block to 16 kHz mono; its start is not set."""
        block = np.frombuffer(data, np.int16).reshape(-1, self._channels).T
        sound = self._resampling.convert(block)
        mono = self._mixdown.mix(sound.samples) if sound.samples.size else sound.samples
        return AudioChunk(mono.astype("<i2").tobytes(), 0.0, sound.clipped)

    def gives_sound(self) -> bool:
        """Wait for a first block; False where none comes. That block is not kept."""
        try:
            self.blocks.get(timeout=SILENT_S)
        except Empty:
            return False
        return True

    def close(self) -> None:
        """Let the device go; it may have gone by itself."""
        try:
            self._stream.close(ignore_errors=True)
        except Exception:  # a device that has gone answers with anything
            return

    def _take(self, data: Any, frames: int, time: object, status: Any) -> None:
        """Runs on PortAudio's own thread: no more than to pass the block on."""
        self.blocks.put((bytes(data), bool(status.input_overflow)))


def list_anew() -> None:
    """Let PortAudio look which devices there are; every open stream must be closed before."""
    sound = _portaudio()
    sound._terminate()  # the package's own documentation names no other way
    sound._initialize()


def _not_found(device: str | None, fault: Exception) -> UsageError:
    what = f"The microphone {device!r}" if device else "The usual microphone"
    return UsageError(
        f"{what} cannot be used ({str(fault).splitlines()[0]}). "
        "'dictate devices' lists those that there are; name one with --device."
    )


def _portaudio() -> Any:
    try:
        import sounddevice
    except OSError:  # the package is there and PortAudio itself is not
        raise UsageError(
            "PortAudio, which brings the sound of the microphone, is not installed. "
            "Install it (Debian: libportaudio2)."
        ) from None
    return sounddevice
