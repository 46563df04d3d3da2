"""Clipped peaks are counted at the recording's own rate, and told with their place."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.clipping import ClippedStretches, count_clipped_peaks
from dictate.audio.file import FileSource
from dictate.audio.levels import LevelMeter


def bursts(rate, gain):
    """Ten seconds of a voice-like sound, loud from the fourth second to the seventh."""
    time = np.arange(10 * rate) / rate
    voice = sum(np.sin(2 * np.pi * 140 * n * time + n) / n for n in range(1, 9))
    voice = voice * (np.sin(2 * np.pi * 1.3 * time) > 0)
    voice = voice / np.abs(voice).max() * 30_000
    voice[4 * rate : 7 * rate] *= gain
    return np.clip(np.rint(voice), -32768, 32767).astype(np.int16)


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000, 96_000])
@pytest.mark.parametrize("channels", [1, 2])
def test_clipping_in_a_file_is_told_whatever_its_rate(tmp_path, sounds, rate, channels):
    path = tmp_path / "a.wav"
    path.write_bytes(sounds.wav(bursts(rate, 4.0), rate=rate, channels=channels))
    meter = LevelMeter(FileSource(path))
    list(meter.chunks())
    (notice,) = [notice for notice in meter.notices if "clipped" in notice]
    assert notice.startswith("the recording is clipped from 00:0")
    start, end = notice[-14:-9], notice[-5:]
    assert start in ("00:03", "00:04")
    assert end in ("00:07", "00:08")


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000, 96_000])
def test_a_loud_file_that_is_not_clipped_is_not_told(tmp_path, sounds, rate):
    path = tmp_path / "a.wav"
    path.write_bytes(sounds.wav(bursts(rate, 1.09), rate=rate))
    meter = LevelMeter(FileSource(path))
    list(meter.chunks())
    assert meter.notices == []


def test_the_channel_with_most_counts():
    samples = np.zeros((2, 100), np.int16)
    samples[0, 10:14] = samples[1, 10:14] = samples[1, 50:53] = 32767
    samples[0, 80:82] = -32768
    assert count_clipped_peaks(samples, 44_100) == 2
    assert count_clipped_peaks(samples, 96_000) == 0
    assert count_clipped_peaks(np.zeros((2, 0), np.int16), 16_000) == 0


def test_a_run_over_two_blocks_is_one_peak():
    for cut in range(1, 5):
        stretches = ClippedStretches()
        for at_s in (1.0, 1.1, 1.2):
            peak = np.array([0, 32767, 32767, 32767, 0, 0], np.int16)
            stretches.take(peak[:cut], at_s)
            stretches.take(peak[cut:], at_s + cut / 16_000)
        assert stretches.tell() == ["the recording is clipped from 00:01 to 00:02"]
