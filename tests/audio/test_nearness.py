"""What is spoken near the microphone is told from what is spoken behind it, by level."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.nearness import FAR_DB, Nearness
from dictate.audio.source import RATE_HZ

#: Root mean square of what is near, in parts of full scale.
NEAR = 0.07


def tone(seconds, under_db=0.0):
    """A tone so many decibels under what is near (levels as AES17-2015: 20 log10 of the ratio)."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    sound = NEAR * 2**0.5 * 10 ** (-under_db / 20) * np.sin(2 * np.pi * 300 * t)
    return (sound * 32767).astype("<i2")


def silence(seconds):
    return np.zeros(round(seconds * RATE_HZ), "<i2")


def measured(*parts, chunk=3200):
    nearness, sound = Nearness(), np.concatenate(parts)
    for at in range(0, len(sound), chunk):
        nearness.take(sound[at : at + chunk].tobytes(), at / RATE_HZ)
    return nearness


@pytest.mark.parametrize("under_db", [0.0, 6.0, 16.0, 30.0])
def test_how_far_a_stretch_is_under_what_is_near(under_db):
    nearness = measured(tone(2.0), silence(0.5), tone(1.0, under_db), silence(0.5))
    assert nearness.under_near_db(2.5, 3.5) == pytest.approx(under_db, abs=0.5)
    assert nearness.under_near_db(0.5, 1.0) == pytest.approx(0.0, abs=0.5)


def test_it_is_the_same_however_the_sound_is_cut():
    parts = (tone(2.0), silence(0.3), tone(0.6, 14.0))
    found = [measured(*parts, chunk=c).under_near_db(2.3, 2.9) for c in (333, 1600, 8000)]
    assert found == pytest.approx([14.0] * 3, abs=0.5)


def test_a_soft_voice_alone_is_near():
    assert measured(silence(1.0), tone(3.0, 25.0)).under_near_db(1.5, 3.5) < FAR_DB


def test_who_speaks_more_softly_becomes_near_in_time():
    nearness = measured(tone(2.0), tone(90.0, 16.0))
    assert nearness.under_near_db(3.0, 4.0) > FAR_DB
    assert nearness.under_near_db(88.0, 90.0) < FAR_DB


def test_a_hole_in_the_sound_keeps_the_times():
    nearness = Nearness()
    nearness.take(tone(2.0).tobytes(), 0.0)
    nearness.take(tone(1.0, 20.0).tobytes(), 10.0)
    assert nearness.under_near_db(10.2, 10.8) == pytest.approx(20.0, abs=0.5)


def test_what_is_not_kept_any_more_is_near():
    nearness = measured(tone(1.0, 20.0), tone(130.0))
    assert nearness.under_near_db(0.2, 0.8) == 0.0


def test_a_stretch_too_short_to_measure_is_near():
    assert measured(tone(2.0), silence(1.0)).under_near_db(2.99, 3.0) == 0.0
