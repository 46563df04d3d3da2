"""Windows of sound to teach with: clips one after the other in rooms, with noise and talk behind.

Nothing is left out of the text that is there to be heard: a stretch that is masked or too faint
to hear would teach the listener to guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from dictate.recognise.mel import RATE_HZ, SIZES_S

Samples = NDArray[np.float32]
#: How often a window of each length is made.
OF_SIZE = (0.5, 0.32, 0.18)
#: Parts of the windows in which nothing is said, and that have a room, talk, hiss, a narrow band,
#: another microphone.
EMPTY, ROOM, BABBLE, HISS, BAND, MICROPHONE = 0.04, 0.4, 0.5, 0.3, 0.15, 0.4
#: The listener is given an utterance with nothing at all before and after it: so many are cut so,
#: with so much left at their ends (seconds, most).
CUT, BEFORE_S, AFTER_S = 0.7, 0.35, 0.9
#: How far babble and hiss lie under the voice (dB): the lowest and the highest.
BABBLE_DB, HISS_DB = (5.0, 30.0), (8.0, 40.0)
#: Most clips of one window.
_MOST_CLIPS = (2, 3, 5)


@dataclass(frozen=True, slots=True)
class Window:
    """Sound of one of ``SIZES_S`` (16 kHz, int16), what is said in it ("" for nothing), and where
    the last word ends (seconds)."""

    sound: NDArray[np.int16]
    text: str
    end_s: float = 0.0


def make_window(
    clips: Sequence[tuple[str, Path]], seed: int, of_size: Sequence[float] = ()
) -> Window:
    """Make one window; the same for the same clips and seed.

    Args:
        clips: Text and file of everything that was spoken.
        seed: Fixes all draws.
        of_size: How often a window of each length is made; empty for ``OF_SIZE``.
    """
    draw = np.random.default_rng(seed)
    kind = int(draw.choice(len(SIZES_S), p=of_size or OF_SIZE))
    whole = int(SIZES_S[kind] * RATE_HZ)
    sound = np.zeros(whole, np.float32)
    said: list[str] = []
    begin = end = 0
    if draw.random() >= EMPTY:
        begin = at = int(draw.uniform(0.0, 0.7) * RATE_HZ)
        for number in range(int(draw.integers(1, _MOST_CLIPS[kind] + 1))):
            found = _fitting(clips, whole - at, draw)
            if found is None:
                break
            text, spoken = found
            if number == 0 and draw.random() < 0.1:
                spoken = spoken[int(draw.uniform(0, 0.05) * RATE_HZ) :]
            sound[at : at + len(spoken)] += spoken
            end = at + len(spoken)
            at = end + int(draw.uniform(0.12, 1.1) * RATE_HZ)
            said.append(text)
    voice = float(np.sqrt(np.mean(sound[sound != 0] ** 2))) if said else 0.1
    if said and draw.random() < ROOM:
        sound = _in_room(sound, draw)
    if said and draw.random() < BABBLE:
        sound += _babble(clips, whole, draw) * voice / 10 ** (draw.uniform(*BABBLE_DB) / 20)
    if draw.random() < (HISS if said else 0.8):
        sound += _hiss(whole, draw) * voice / 10 ** (draw.uniform(*HISS_DB) / 20)
    if not said and draw.random() < 0.4:
        sound += _tones(whole, draw) * float(draw.uniform(0.02, 0.5))
    if not said and draw.random() < 0.3:  # so many talk that nobody can be understood
        sound += _babble(clips, whole, draw, 5) * float(draw.uniform(0.01, 0.1))
    if draw.random() < BAND:
        sound = _narrow(sound, draw)
    if draw.random() < MICROPHONE:
        sound = _through(sound, draw)
    if said and draw.random() < CUT:
        sound[: max(0, begin - int(draw.uniform(0.0, BEFORE_S) * RATE_HZ))] = 0
        sound[end + int(draw.uniform(0.05, AFTER_S) * RATE_HZ) :] = 0
    level = 10 ** (draw.uniform(-36, -13) / 20) / max(voice, 1e-4)
    sound = np.clip(sound * level, -1.0, 1.0)
    return Window((sound * 32767).astype(np.int16), _text_of(said), end / RATE_HZ)


_clips: list[tuple[str, Path]] = []


def set_clips(clips: Sequence[tuple[str, Path]]) -> None:
    """Tell a process that makes windows what was spoken."""
    _clips[:] = clips


def window_of(seed: int) -> Window:
    """A window of what the process was told (``make_window``)."""
    return make_window(_clips, seed)


def _fitting(
    clips: Sequence[tuple[str, Path]], room: int, draw: np.random.Generator
) -> tuple[str, Samples] | None:
    """A clip by lot that fits into so many samples; none where four do not."""
    for _ in range(4):
        text, path = clips[int(draw.integers(len(clips)))]
        spoken = _load(path)
        if draw.random() < 0.5:  # slower and lower, or faster and higher
            spoken = _moved(spoken, float(draw.uniform(0.87, 1.15)))
        if len(spoken) + RATE_HZ // 10 < room:
            return text, spoken * float(10 ** (draw.uniform(-4, 2) / 20))
    return None


def _load(path: Path) -> Samples:
    samples = np.asarray(np.load(path), np.float32) / 32768
    loud = samples[np.abs(samples) > 0.02 * max(float(np.abs(samples).max(initial=0.0)), 1e-4)]
    level = float(np.sqrt(np.mean(loud**2))) if len(loud) else 1.0
    return np.asarray(samples * (0.1 / max(level, 1e-4)), np.float32)


def _moved(sound: Samples, factor: float) -> Samples:
    places = np.arange(0, len(sound) - 1, factor)
    return np.asarray(np.interp(places, np.arange(len(sound)), sound), np.float32)


def _in_room(sound: Samples, draw: np.random.Generator) -> Samples:
    """Reflections that decay, and how near the microphone is (near: mostly the voice itself)."""
    decay_s = float(draw.uniform(0.12, 0.7))
    length = int(decay_s * RATE_HZ)
    tail = draw.standard_normal(length).astype(np.float32)
    tail *= np.exp(-6.9 * np.arange(length) / length)
    tail[: int(draw.uniform(0.001, 0.01) * RATE_HZ)] = 0
    tail /= float(np.sqrt(np.sum(tail**2))) or 1.0
    tail *= 10 ** (-float(draw.uniform(-3, 15)) / 20)
    tail[0] = 1.0
    return np.asarray(_convolved(sound, tail)[: len(sound)], np.float32)


def _convolved(sound: Samples, answer: Samples) -> Samples:
    size = 1 << (len(sound) + len(answer) - 1).bit_length()
    spectrum = np.fft.rfft(sound, size) * np.fft.rfft(answer, size)
    return np.asarray(np.fft.irfft(spectrum, size), np.float32)


def _babble(
    clips: Sequence[tuple[str, Path]], whole: int, draw: np.random.Generator, fewest: int = 2
) -> Samples:
    """Several people at once; level 1."""
    babble = np.zeros(whole, np.float32)
    for _ in range(int(draw.integers(fewest, 8))):
        at = -int(draw.integers(0, RATE_HZ))
        while at < whole:
            said = _load(clips[int(draw.integers(len(clips)))][1])
            start, end = max(at, 0), min(at + len(said), whole)
            if end > start:
                babble[start:end] += said[start - at : end - at]
            at += len(said) + int(draw.integers(0, RATE_HZ // 4))
    return babble / (float(np.sqrt(np.mean(babble**2))) or 1.0)


def _hiss(whole: int, draw: np.random.Generator) -> Samples:
    """Noise of any colour, perhaps with the hum of the mains; level 1."""
    noise = draw.standard_normal(whole).astype(np.float32)
    if draw.random() < 0.6:
        spectrum = np.fft.rfft(noise)
        slope = float(draw.uniform(0.3, 1.2))
        spectrum /= np.maximum(1.0, np.arange(len(spectrum)) * 0.01) ** slope
        noise = np.fft.irfft(spectrum, whole).astype(np.float32)
    noise /= float(np.sqrt(np.mean(noise**2))) or 1.0
    if draw.random() < 0.2:
        hum_hz = float(draw.choice((50.0, 60.0)))
        noise += np.sin(2 * np.pi * hum_hz * np.arange(whole) / RATE_HZ).astype(np.float32)
    return noise


def _tones(whole: int, draw: np.random.Generator) -> Samples:
    """Tones that come and go, like a device or music."""
    at = np.arange(whole, dtype=np.float32) / RATE_HZ
    sound = np.zeros(whole, np.float32)
    for _ in range(int(draw.integers(1, 12))):
        begin, long = float(draw.uniform(0, whole / RATE_HZ)), float(draw.uniform(0.1, 2.0))
        shape = np.clip((at - begin) * 20, 0, 1) * np.clip((begin + long - at) * 20, 0, 1)
        base_hz = float(110 * 2 ** (draw.integers(0, 48) / 12))
        for overtone in range(1, int(draw.integers(2, 6))):
            sound += shape * np.sin(2 * np.pi * base_hz * overtone * at) / overtone
    return sound


def _narrow(sound: Samples, draw: np.random.Generator) -> Samples:
    """A telephone, or a dull microphone."""
    spectrum = np.fft.rfft(sound)
    hertz = np.linspace(0, RATE_HZ / 2, len(spectrum))
    low, high = (300.0, 3400.0) if draw.random() < 0.5 else (60.0, float(draw.uniform(2500, 7000)))
    spectrum[(hertz < low) | (hertz > high)] *= 0.02
    return np.asarray(np.fft.irfft(spectrum, len(sound)), np.float32)


def _through(sound: Samples, draw: np.random.Generator) -> Samples:
    """A microphone that hears some pitches better than others (up to 8 dB)."""
    spectrum = np.fft.rfft(sound)
    knots = draw.uniform(-8, 8, 7)
    places = np.linspace(0, 1, len(spectrum)) ** 0.5  # wider apart where they are high
    spectrum *= 10 ** (np.interp(places, np.linspace(0, 1, len(knots)), knots) / 20)
    return np.asarray(np.fft.irfft(spectrum, len(sound)), np.float32)


def _text_of(said: Sequence[str]) -> str:
    text = " ".join(part if part[-1] in ".?," else f"{part}," for part in said)
    return text.rstrip(",")
