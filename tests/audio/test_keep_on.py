"""Keeping live sound when the disk refuses: said once, tried again, nothing lost."""

from __future__ import annotations

import errno
import os
import wave

import numpy as np
import pytest

from dictate.audio import keep
from dictate.audio.keep import repair_recording
from dictate.audio.keep_on import MOST_WAITING_S, KeptOnSource
from dictate.audio.source import RATE_HZ, AudioChunk


class Clock:
    now_s = 0.0

    def __call__(self):
        return self.now_s


class Source:
    """Blocks that move the clock on as they come."""

    duration_s, notices = None, ()

    def __init__(self, samples, clock, start_s=0.0, step=None, size=800):
        self._samples, self._clock, self._start_s = samples, clock, start_s
        self._step, self._size = step or (lambda at_s: None), size

    def chunks(self):
        for at in range(0, len(self._samples), self._size):
            self._clock.now_s = self._start_s + at / RATE_HZ
            self._step(self._clock.now_s)
            piece = self._samples[at : at + self._size].astype("<i2").tobytes()
            yield AudioChunk(piece, self._clock.now_s)


def read_wav(path):
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "sound.wav"


def test_all_is_kept_and_handed_on(sounds, path):
    samples, clock, told = sounds.sine(2.0), Clock(), []
    kept = KeptOnSource(Source(samples, clock), path, told.append, clock=clock)
    assert sum(len(c.samples) for c in kept.chunks()) == len(samples) * 2
    assert np.array_equal(read_wav(path), samples)
    assert told == []


def test_it_goes_on_at_the_end_of_a_recording_that_was_killed(sounds, path):
    samples, clock = sounds.sine(3.0), Clock()
    first = KeptOnSource(Source(samples[:16_000], clock), path, print, clock=clock).chunks()
    for _ in range(20):
        next(first)
    as_killed = path.read_bytes()  # the header is not corrected yet
    first.close()
    path.write_bytes(as_killed)
    assert repair_recording(path)
    source = Source(samples[16_000:], clock, 1.0)
    list(KeptOnSource(source, path, print, go_on=True, clock=clock).chunks())
    assert np.array_equal(read_wav(path), samples)


def test_full_disk_for_a_while(sounds, path, monkeypatch):
    samples, clock, told, write = sounds.sine(8.0), Clock(), [], os.write

    def fill(file, data):
        if 2.0 < clock.now_s < 5.0:
            if len(data) > 700:
                return write(file, data[:700])  # a little room, then none
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(file, data)

    monkeypatch.setattr(keep.os, "write", fill)
    heard = list(KeptOnSource(Source(samples, clock), path, told.append, clock=clock).chunks())
    assert len(heard) == 160
    assert np.array_equal(read_wav(path), samples)
    assert len(told) == 2
    assert "No space left" in told[0] and "again" in told[1]


def test_a_disk_that_is_full_from_the_start(sounds, path, monkeypatch):
    samples, clock, told, write = sounds.sine(4.0), Clock(), [], os.write

    def fill(file, data):
        if clock.now_s < 2.0:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(file, data)

    monkeypatch.setattr(keep.os, "write", fill)
    list(KeptOnSource(Source(samples, clock), path, told.append, clock=clock).chunks())
    assert np.array_equal(read_wav(path), samples)
    assert len(told) == 2


def test_memory_is_limited_and_times_stay_true(path, monkeypatch):
    clock, told, write = Clock(), [], os.write
    long_s = MOST_WAITING_S + 30
    samples = np.full(int(long_s * RATE_HZ), 7, np.int16)

    def fill(file, data):
        if clock.now_s < long_s - 5:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(file, data)

    monkeypatch.setattr(keep.os, "write", fill)
    source = Source(samples, clock, size=16_000)
    list(KeptOnSource(source, path, told.append, clock=clock).chunks())
    kept = read_wav(path)
    assert len(kept) == len(samples) and kept[-1] == 7 and kept[0] == 0
    assert sum("no more room" in sentence for sentence in told) == 1


def test_a_small_disk_that_is_really_full(sounds, small_disk):
    small = small_disk(160)
    samples, clock, told = sounds.sine(4.5), Clock(), []
    ballast = small / "ballast"
    ballast.write_bytes(bytes(130_000))

    def make_room(at_s):
        if at_s >= 3.0:
            ballast.unlink(missing_ok=True)

    source = Source(samples, clock, step=make_room)
    list(KeptOnSource(source, small / "sound.wav", told.append, clock=clock).chunks())
    assert np.array_equal(read_wav(small / "sound.wav"), samples)
    assert len(told) == 2, told
