"""The voice itself: offline, at once, the same each time; without it there is none."""

from __future__ import annotations

import socket
from importlib.util import find_spec

import numpy as np
import pytest

from dictate.speak import voice as voices
from dictate.speak.neural import PEAK, NeuralVoice

needs_voice = pytest.mark.skipif(find_spec("hibari") is None, reason="no voice is installed")


@pytest.fixture(scope="module")
def voice() -> NeuralVoice:
    return NeuralVoice()


@needs_voice
def test_a_sentence_is_sound_of_its_length_and_level(voice: NeuralVoice) -> None:
    sound = voice.say("Deltoid strength: right, left or both?")
    samples = np.abs(np.frombuffer(sound.samples, "<i2").astype(float)) / 32767
    assert 1.5 < sound.duration_s < 5
    assert samples.max() == pytest.approx(PEAK, abs=0.01)
    assert np.sqrt((samples**2).mean()) > 0.03


@needs_voice
def test_a_longer_sentence_is_longer(voice: NeuralVoice) -> None:
    short, long = voice.say("Right?"), voice.say("Right, left, or both of them, if you please?")
    assert long.duration_s > 2 * short.duration_s


@needs_voice
def test_the_same_sentence_is_the_same_sound(voice: NeuralVoice) -> None:
    assert voice.say("four plus: where?") == voice.say("four plus: where?")


@needs_voice
def test_nothing_to_say_is_no_sound(voice: NeuralVoice) -> None:
    assert voice.say("").samples == b""


@needs_voice
def test_it_speaks_without_a_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("the network was used")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    assert NeuralVoice().say("left or right?").samples


def test_without_the_package_there_is_no_voice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(voices, "find_spec", lambda name: None)
    assert voices.find_voice() is None


@needs_voice
def test_a_damaged_voice_keeps_nobody_from_dictating(monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(self: NeuralVoice) -> None:
        raise OSError("damaged")

    monkeypatch.setattr(NeuralVoice, "__init__", break_down)
    assert voices.find_voice() is None
