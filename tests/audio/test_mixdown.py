"""Several channels to one: the mean, or the louder, and never nothing."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.mixdown import Mixdown


def mix(*channels, block=370):
    """Mix in blocks, as a decoder gives them; leave out the first two seconds of settling."""
    sound = np.array(channels, dtype=np.int16)
    mixdown = Mixdown()
    parts = [mixdown.mix(sound[:, at : at + block]) for at in range(0, sound.shape[1], block)]
    whole = np.concatenate(parts)
    assert whole.dtype == np.int16
    assert whole.size == sound.shape[1]
    return whole.astype(float)


def level(samples):
    return np.sqrt((np.asarray(samples, dtype=float)[32_000:] ** 2).mean())


def noise(seconds, size, seed=1):
    return np.random.default_rng(seed).normal(0, size, round(seconds * 16_000)).astype(np.int16)


def test_one_channel_stays_as_it_is(sounds):
    tone = sounds.sine(1.0)
    assert (mix(tone) == tone).all()


@pytest.mark.parametrize("channels", [2, 6])
def test_equal_channels_give_the_same_sound(sounds, channels):
    tone = sounds.sine(3.0)
    assert np.abs(mix(*[tone] * channels) - tone).max() <= 1


def test_two_voices_are_both_there(sounds):
    low, high = sounds.sine(4.0, hertz=300.0), sounds.sine(4.0, hertz=1000.0)
    spectrum = np.abs(np.fft.rfft(mix(low, high)[32_000:]))
    assert spectrum[600] == pytest.approx(spectrum[2000], rel=0.02)


@pytest.mark.parametrize("quiet", [0.0, 20.0])
@pytest.mark.parametrize("order", [1, -1])
def test_a_channel_much_louder_is_taken_alone(sounds, quiet, order):
    tone = sounds.sine(4.0)
    assert level(mix(*[tone, noise(4.0, quiet)][::order])) == pytest.approx(level(tone), rel=0.01)


def test_the_middle_of_six_is_heard_at_its_level(sounds):
    tone = sounds.sine(4.0)
    silent = np.zeros_like(tone)
    mixed = mix(silent, silent, tone, silent, silent, silent)
    assert level(mixed) == pytest.approx(level(tone), rel=0.01)


def test_channels_that_cancel_each_other_are_not_lost(sounds):
    tone = sounds.sine(4.0)
    assert level(mix(tone, -tone)) == pytest.approx(level(tone), rel=0.01)


def test_a_voice_that_begins_on_the_quiet_channel_is_not_cut(sounds):
    tone, silent = sounds.sine(3.0), np.zeros(48_000, np.int16)
    mixed = mix(np.concatenate([tone, silent]), np.concatenate([silent, tone]))
    begin = mixed[48_000:48_800]
    assert np.sqrt((begin**2).mean()) > 0.35 * level(tone)


def test_silence_and_a_change_of_the_number_of_channels(sounds):
    mixdown = Mixdown()
    assert not mixdown.mix(np.zeros((2, 500), np.int16)).any()
    assert mixdown.mix(np.tile(sounds.sine(0.1), (6, 1))).size == 1600
    assert mixdown.mix(np.zeros((2, 0), np.int16)).size == 0


def test_full_scale_does_not_wrap_around():
    loud = np.full(1600, -32768, np.int16)
    assert (mix(loud, loud) == -32768).all()
