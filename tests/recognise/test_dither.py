"""The noise under the sound is faint, the same each time, and never wraps round."""

from __future__ import annotations

import numpy as np

from dictate.audio.source import RATE_HZ
from dictate.recognise.dither import STEPS, Dither


def test_silence_gets_faint_noise():
    noise = np.frombuffer(Dither().under(bytes(2 * RATE_HZ)), "<i2")
    assert 0.8 * STEPS < noise.std() < 1.3 * STEPS
    assert abs(noise).max() < 10
    assert abs(noise.mean()) < 0.05


def test_it_is_the_same_however_the_sound_is_cut():
    sound = np.arange(-8000, 8000, dtype="<i2").tobytes()
    whole = Dither().under(sound)
    dither = Dither()
    assert dither.under(sound[:3000]) + dither.under(sound[3000:]) == whole


def test_the_loudest_samples_stay_the_loudest():
    loud = np.array([32767, -32768] * 500, dtype="<i2")
    mixed = np.frombuffer(Dither().under(loud.tobytes()), "<i2")
    assert (np.sign(mixed) == np.sign(loud)).all()


def test_half_a_sample_at_the_end_is_left_out():
    assert Dither().under(b"\x01") == b""
