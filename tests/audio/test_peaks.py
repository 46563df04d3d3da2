"""The peaks are those of the samples, at every level, whatever the chunks were."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.audio.peaks import COLUMN, LEVELS, TILE, Peaks
from dictate.audio.source import AudioChunk


def _peaks(samples, cuts=()):
    peaks = Peaks()
    edges = [0, *sorted(cuts), len(samples)]
    for start, end in itertools.pairwise(edges):
        peaks.add(AudioChunk(samples[start:end].astype("<i2").tobytes(), start / 16_000))
    peaks.end()
    return peaks


def _plainly(samples, level):
    """Lowest and highest of each column, the slow and obvious way."""
    step = COLUMN << level
    padded = np.pad(samples, (0, -len(samples) % COLUMN))
    return [
        (int(padded[at : at + step].min()) >> 8, int(padded[at : at + step].max()) >> 8)
        for at in range(0, len(padded), step)
    ]


@given(
    st.integers(1, 30_000), st.lists(st.integers(0, 30_000), max_size=4), st.integers(0, 3),
    st.integers(0, 9),
)  # fmt: skip
def test_each_column_is_the_lowest_and_highest_sample(count, cuts, level, seed):
    samples = np.random.default_rng(seed).integers(-32768, 32768, count)
    peaks = _peaks(samples, [min(cut, count) for cut in cuts])
    found = np.frombuffer(peaks.tile(level, 0), np.int8).reshape(-1, 2).tolist()
    assert [tuple(pair) for pair in found] == _plainly(samples, level)


def test_tiles_follow_each_other_without_a_gap():
    samples = np.random.default_rng(1).integers(-32768, 32768, COLUMN * (2 * TILE + 7))
    peaks = _peaks(samples)
    tiles = b"".join(peaks.tile(0, number) for number in range(4))
    found = np.frombuffer(tiles, np.int8).reshape(-1, 2).tolist()
    assert [tuple(pair) for pair in found] == _plainly(samples, 0)
    assert peaks.tile(0, 3) == b""
    assert peaks.seconds == pytest.approx((2 * TILE + 7) / 100)


@pytest.mark.parametrize("level, number", [(-1, 0), (LEVELS, 0), (0, -1)])
def test_what_there_is_not_is_refused(level, number):
    with pytest.raises(ValueError, match="no such tile"):
        Peaks().tile(level, number)
