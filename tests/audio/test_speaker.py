"""The loudspeaker, with PortAudio played by a stand-in that keeps to its rules."""

from __future__ import annotations

import sys
from types import SimpleNamespace

import numpy as np
import pytest

from dictate.audio.speaker import Sound, Speaker
from dictate.errors import UsageError

RATE_HZ = 16_000


class PortAudioError(Exception):
    pass


class CallbackStop(Exception):
    pass


class Stream:
    """Plays when told to, block by block."""

    refuses: tuple[int, ...] = ()
    gone = False

    def __init__(self, samplerate, device, channels, dtype, callback) -> None:  # type: ignore[no-untyped-def]
        if samplerate in self.refuses:
            raise PortAudioError("Invalid sample rate")
        self.samplerate, self.callback = samplerate, callback
        self.latency, self.active, self.heard = 0.05, False, b""

    def start(self) -> None:
        if self.gone:
            raise PortAudioError("Device unavailable")
        self.active = True

    def abort(self) -> None:
        self.active = False

    def close(self) -> None:
        self.active = False

    def run(self, blocks: int, frames: int = 512) -> None:
        for _ in range(blocks):
            if not self.active:
                return
            out = bytearray(2 * frames)
            try:
                self.callback(memoryview(out), frames, None, None)
            except CallbackStop:
                self.active = False
            self.heard += bytes(out)


@pytest.fixture
def portaudio(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    class Here(Stream):
        pass

    module = SimpleNamespace(
        PortAudioError=PortAudioError,
        CallbackStop=CallbackStop,
        RawOutputStream=Here,
        query_devices=lambda device, kind: {"default_samplerate": 48_000.0},
    )
    monkeypatch.setitem(sys.modules, "sounddevice", module)  # type: ignore[arg-type]
    return module


def sine(seconds: float) -> Sound:
    wave = 10_000 * np.sin(2 * np.pi * 440 * np.arange(int(seconds * RATE_HZ)) / RATE_HZ)
    return Sound(wave.astype("<i2").tobytes())


def test_a_sound_is_played_to_its_end(portaudio: SimpleNamespace) -> None:
    speaker, sound = Speaker(), sine(0.3)
    speaker.play(sound)
    assert speaker.sounding()
    speaker._stream.run(1000)
    assert not speaker.sounding()
    assert speaker._stream.heard.rstrip(b"\0") == sound.samples.rstrip(b"\0")
    assert speaker.latency_s == 0.05


def test_stop_is_at_once_and_what_was_left_is_never_played(portaudio: SimpleNamespace) -> None:
    speaker = Speaker()
    speaker.play(sine(1.0))
    speaker._stream.run(4)
    speaker.stop()
    assert not speaker.sounding()
    first = sine(0.1)
    speaker.play(first)
    before = len(speaker._stream.heard)
    speaker._stream.run(1000)
    assert speaker._stream.heard[before:].rstrip(b"\0") == first.samples.rstrip(b"\0")


def test_a_new_sound_cuts_the_old_one_off(portaudio: SimpleNamespace) -> None:
    speaker = Speaker()
    speaker.play(sine(1.0))
    speaker.play(sine(0.1))
    speaker._stream.run(1000)
    assert len(speaker._stream.heard) < 2 * RATE_HZ * 0.2


def test_a_device_without_our_rate_gets_its_own(portaudio: SimpleNamespace) -> None:
    portaudio.RawOutputStream.refuses = (RATE_HZ,)
    speaker = Speaker()
    speaker.play(sine(0.5))
    speaker._stream.run(1000)
    played = np.frombuffer(speaker._stream.heard, "<i2").astype(float)
    assert speaker._stream.samplerate == 48_000
    assert np.count_nonzero(np.abs(played) > 100) / 48_000 == pytest.approx(0.5, abs=0.02)
    strength = np.abs(np.fft.rfft(played[:24_000]))
    assert np.argmax(strength) * 48_000 / 24_000 == pytest.approx(440, abs=3)


def test_no_loudspeaker_is_said_with_what_to_do(portaudio: SimpleNamespace) -> None:
    portaudio.RawOutputStream.refuses = (RATE_HZ, 48_000)
    with pytest.raises(UsageError, match="--ask screen"):
        Speaker()

    def none(device: object, kind: str) -> None:
        raise PortAudioError("no device")

    portaudio.query_devices = none
    with pytest.raises(UsageError, match="--ask screen"):
        Speaker()


def test_a_device_that_goes_is_an_error_of_ours(portaudio: SimpleNamespace) -> None:
    speaker = Speaker()
    portaudio.RawOutputStream.gone = True
    with pytest.raises(UsageError, match="loudspeaker"):
        speaker.play(sine(0.1))
    speaker.stop()
