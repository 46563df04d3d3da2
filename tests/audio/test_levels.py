"""Levels: AES17's definition, and what the meter says about a recording."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.levels import LevelMeter, level_dbfs


def measure(source):
    meter = LevelMeter(source)
    heard = b"".join(chunk.samples for chunk in meter.chunks())
    return meter, heard


def speech(seconds, peak, noise):
    """Bursts of a voice-like sound with pauses between, over noise of that RMS."""
    time = np.arange(round(seconds * 16_000)) / 16_000
    voice = np.sin(2 * np.pi * 150 * time) * (np.sin(2 * np.pi * 0.7 * time) > 0)
    hiss = np.random.default_rng(7).normal(scale=noise, size=time.size) if noise else 0
    return np.clip(np.rint(peak * voice + hiss), -32768, 32767).astype(np.int16)


def test_full_scale_sine_is_zero_dbfs(sounds):
    assert level_dbfs(sounds.sine(1.0, hertz=997.0, peak=32767.0)) == pytest.approx(0.0, abs=0.001)


def test_full_scale_square_is_three_dbfs():
    square = np.tile(np.array([32767, -32767], np.int16), 8000)
    assert level_dbfs(square) == pytest.approx(3.0103, abs=0.001)


def test_half_the_amplitude_is_six_less(sounds):
    assert level_dbfs(sounds.sine(1.0, peak=16383.5)) == pytest.approx(-6.02, abs=0.01)


@pytest.mark.parametrize("chunk", [1, 317, 4000])
def test_sound_goes_through_unchanged_in_chunks_of_any_size(sounds, chunk):
    samples = speech(1.0, 9000, 20)
    _, heard = measure(sounds.Samples(samples, chunk))
    assert heard == samples.astype("<i2").tobytes()


@pytest.mark.parametrize("chunk", [2, 317, 4000])
def test_clipping_is_told_with_its_place(sounds, chunk):
    samples = speech(16.0, 9000, 20)
    samples[16_000 * 10 : 16_000 * 14] = sounds.sine(4.0, hertz=150.0, peak=60_000.0)
    meter, _ = measure(sounds.Samples(samples, chunk))
    assert meter.notices == ["the recording is clipped from 00:10 to 00:14"]


def test_full_scale_without_clipping_and_one_click_are_no_clipping(sounds):
    samples = sounds.sine(2.0, hertz=100.0, peak=32767.0)
    samples[5000:5005] = 32767
    meter, _ = measure(sounds.Samples(samples))
    assert meter.notices == []


def test_many_clipped_places_are_counted(sounds):
    samples = speech(60.0, 9000, 20)
    for second in range(2, 58, 6):
        samples[16_000 * second : 16_000 * second + 8000] = sounds.sine(0.5, peak=90_000.0)
    meter, _ = measure(sounds.Samples(samples))
    clipped = [notice for notice in meter.notices if "clipped" in notice]
    assert len(clipped) == 6
    assert clipped[-1] == "the recording is clipped in 5 more places"


def test_quiet_speech(sounds):
    meter, _ = measure(sounds.Samples(speech(10.0, 100, 1)))
    assert len(meter.notices) == 1
    assert "very quiet: about -50 dBFS" in meter.notices[0]


@pytest.mark.parametrize("apart", [3, 6, 8])
def test_loud_room(sounds, apart):
    meter, _ = measure(sounds.Samples(speech(20.0, 8000, 8000 / 2**0.5 / 10 ** (apart / 20))))
    assert len(meter.notices) == 1
    assert "the room is too loud: about" in meter.notices[0]


def test_good_recording_has_no_notice(sounds):
    meter, _ = measure(sounds.Samples(speech(20.0, 8000, 100)))
    assert meter.notices == []
    assert meter.speech_to_noise_db > 20


def test_silence_is_told(sounds):
    meter, _ = measure(sounds.Samples(np.zeros(80_000, np.int16)))
    assert len(meter.notices) == 1
    assert "silent" in meter.notices[0]


def test_notices_of_the_source_come_first(sounds):
    source = sounds.Samples(np.zeros(80_000, np.int16))
    source.notices = ["the recording is cut off at 00:05"]
    meter, _ = measure(source)
    assert meter.notices[0] == source.notices[0]
    assert len(meter.notices) == 2
