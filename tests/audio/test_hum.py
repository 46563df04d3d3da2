"""Hum of the mains is told as such, and is not taken for a loud room."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.hum import Hum
from dictate.audio.levels import LevelMeter

RATE_HZ = 16_000


def hum(seconds, hertz, peak, harmonics=(1.0, 0.3, 0.2)):
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return sum(
        peak * size * np.sin(2 * np.pi * hertz * k * time + k)
        for k, size in enumerate(harmonics, 1)
    )


def speech(seconds, peak, noise):
    """A voice of changing pitch (90 to 150 Hz) with its harmonics, and pauses; white noise."""
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    phase = 2 * np.pi * np.cumsum(120 + 30 * np.sin(2 * np.pi * 0.37 * time)) / RATE_HZ
    voice = sum(np.sin(k * phase) / k for k in range(1, 9)) * (np.sin(2 * np.pi * 0.7 * time) > 0)
    return peak * voice / 1.5 + np.random.default_rng(7).normal(scale=noise, size=time.size)


def whole(samples):
    return np.clip(np.rint(samples), -32768, 32767).astype(np.int16)


def notices(sounds, samples):
    meter = LevelMeter(sounds.Samples(whole(samples)))
    for _ in meter.chunks():
        pass
    return meter.notices


@pytest.mark.parametrize("hertz", [50, 60, 49.8, 60.1])
@pytest.mark.parametrize("peak", [300, 3000, 12_000])
def test_frequency_and_level(hertz, peak):
    found = Hum()
    for part in np.array_split(whole(hum(10, hertz, peak, (1.0,))), 37):
        found.take(part)
    mains, level = found.find()
    assert mains == round(hertz)
    assert level == pytest.approx(20 * np.log10(peak / 32_767), abs=1.0)


@pytest.mark.parametrize("hertz", [50, 60])
@pytest.mark.parametrize("peak", [1000, 3000])
def test_hum_behind_a_voice_is_told_and_is_no_loud_room(sounds, hertz, peak):
    (notice,) = notices(sounds, speech(20, 8000, 30) + hum(20, hertz, peak))
    assert notice.startswith(f"the recording hums at {hertz} Hz, about ")
    assert "check the microphone's plug and cable" in notice


def test_hum_in_a_loud_room_is_told_with_both(sounds):
    told = notices(sounds, speech(20, 8000, 3000) + hum(20, 50, 3000))
    assert [notice.split(":")[0].split(" at ")[0] for notice in told] == [
        "the recording hums", "the room is too loud",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "more",
    [
        lambda: 0,
        lambda: hum(20, 50, 200),
        lambda: np.random.default_rng(1).normal(scale=300, size=20 * RATE_HZ),
        lambda: np.where(np.arange(20 * RATE_HZ) < 5 * RATE_HZ, hum(20, 50, 3000), 0),
        lambda: np.cumsum(np.random.default_rng(2).normal(size=20 * RATE_HZ)) % 200,
    ],
    ids=["none", "faint", "hiss", "for a while", "rumble"],
)
def test_what_is_no_hum(sounds, more):
    assert notices(sounds, speech(20, 8000, 30) + more()) == []


def test_a_short_sound_and_a_deep_voice_are_none():
    found = Hum()
    found.take(whole(hum(2.5, 50, 3000)))
    assert found.find() is None
    time = np.arange(10 * RATE_HZ) / RATE_HZ
    deep = Hum()
    deep.take(whole(6000 * np.sin(2 * np.pi * 100 * time)))
    assert deep.find() is None
