from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.resample import resampled


def sine(hz: float, rate_hz: int, seconds: float = 0.5) -> np.ndarray:
    return np.sin(2 * np.pi * hz * np.arange(int(rate_hz * seconds)) / rate_hz).astype(np.float32)


@pytest.mark.parametrize("from_hz", [8000, 22050, 24000, 44100, 48000])
@pytest.mark.parametrize("hz", [100, 1000, 3000])
def test_a_tone_stays_the_tone_that_it_was(from_hz: int, hz: int) -> None:
    found = resampled(sine(hz, from_hz), from_hz, 16000)
    wanted = sine(hz, 16000)[: len(found)]
    assert abs(len(found) - 8000) <= 1
    middle = slice(200, -200)  # at the two ends the sound before and after is missing
    assert np.max(np.abs(found[middle] - wanted[middle])) < 0.01


@pytest.mark.parametrize("from_hz", [24000, 44100, 48000])
def test_what_the_new_rate_cannot_hold_is_gone(from_hz: int) -> None:
    found = resampled(sine(10_000, from_hz), from_hz, 16000)
    assert np.sqrt(np.mean(found[200:-200] ** 2)) < 0.002


def test_the_same_rate_and_no_sound_stay_as_they_are() -> None:
    sound = sine(440, 16000)
    assert resampled(sound, 16000, 16000) is sound
    assert len(resampled(np.zeros(0, np.float32), 24000, 16000)) == 0
