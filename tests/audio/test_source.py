"""Chunks and the clock."""

from __future__ import annotations

import pytest

from dictate.audio.source import AudioChunk, clock


@pytest.mark.parametrize(
    ("seconds", "written"),
    [
        (0, "00:00"),
        (9.99, "00:09"),
        (134, "02:14"),
        (3599, "59:59"),
        (3723, "1:02:03"),
        (-1, "00:00"),
    ],
)
def test_clock(seconds, written):
    assert clock(seconds) == written


def test_chunk_knows_its_end():
    assert AudioChunk(bytes(32_000), 2.5).end_s == 3.5
