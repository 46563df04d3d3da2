"""Keeping: on disk first, for the owner alone, whole again after a crash."""

from __future__ import annotations

import errno
import os
import stat
import wave

import numpy as np
import pytest

from dictate.audio import keep
from dictate.audio.file import FileSource
from dictate.audio.keep import HEADER_BYTES, KeptSource, repair_recording
from dictate.audio.source import AudioChunk
from dictate.errors import InputError, StorageError


@pytest.fixture
def path(tmp_path):
    return tmp_path / "kept.wav"


def read_wav(path):
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (16_000, 1, 2)
        return file.readframes(file.getnframes())


def test_whole_recording_is_kept_and_handed_on(sounds, path):
    samples = sounds.sine(2.1)
    heard = b"".join(c.samples for c in KeptSource(sounds.Samples(samples), path).chunks())
    assert heard == read_wav(path) == samples.astype("<i2").tobytes()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    again = FileSource(path)
    assert b"".join(chunk.samples for chunk in again.chunks()) == heard
    assert again.notices == []


def test_each_chunk_is_on_disk_before_it_goes_on(sounds, path):
    for chunk in KeptSource(sounds.Samples(sounds.sine(1.0)), path).chunks():
        assert path.read_bytes().endswith(chunk.samples)
        assert path.stat().st_size == HEADER_BYTES + round(chunk.end_s * 32_000)


def crash(sounds, path, chunks=3):
    """Copy the file as it is while the recording runs: what a crash would leave."""
    running = path.with_name("running.wav")
    source = KeptSource(sounds.Samples(sounds.sine(2.0)), running).chunks()
    kept = b"".join(next(source).samples for _ in range(chunks))
    path.write_bytes(running.read_bytes())
    source.close()
    return kept


def test_after_a_crash_all_of_it_can_be_heard_and_is_said_to_be_open(sounds, path):
    kept = crash(sounds, path)
    source = FileSource(path)
    assert b"".join(chunk.samples for chunk in source.chunks()) == kept
    assert len(source.notices) == 1
    assert "did not close" in source.notices[0]


def test_repair_closes_it_once(sounds, path):
    kept = crash(sounds, path)
    with path.open("ab") as file:
        file.write(b"\x07")  # half a sample
    assert repair_recording(path) is True
    assert read_wav(path) == kept
    assert repair_recording(path) is False
    source = FileSource(path)
    list(source.chunks())
    assert source.notices == []


def test_a_stopped_listener_closes_the_recording(sounds, path):
    source = KeptSource(sounds.Samples(sounds.sine(2.0)), path).chunks()
    kept = next(source).samples
    source.close()
    assert read_wav(path) == kept


def test_a_source_that_fails_leaves_what_was_heard(path):
    class Failing:
        duration_s, notices = None, ["gone"]

        def chunks(self):
            yield AudioChunk(bytes(8000), 0.0)
            raise InputError("The microphone has gone.")

    source = KeptSource(Failing(), path)
    with pytest.raises(InputError, match="microphone"):
        list(source.chunks())
    assert read_wav(path) == bytes(8000)
    assert source.notices == ["gone"]


def test_missing_sound_is_kept_as_silence_so_that_times_stay_true(sounds, path):
    tone = sounds.sine(0.25).astype("<i2").tobytes()

    class Holed:
        duration_s, notices = None, []

        def chunks(self):
            yield AudioChunk(tone, 0.0)
            yield AudioChunk(tone, 1.0)

    assert len(list(KeptSource(Holed(), path).chunks())) == 2
    assert read_wav(path) == tone + bytes(24_000) + tone


def test_nothing_is_overwritten(sounds, path):
    path.write_bytes(b"kept before")
    with pytest.raises(StorageError, match="cannot be kept"):
        list(KeptSource(sounds.Samples(sounds.sine(1.0)), path).chunks())
    assert path.read_bytes() == b"kept before"


def test_full_disk_stops_before_the_sound_goes_on(sounds, path, monkeypatch):
    write = os.write

    def fill(file, data):
        if os.fstat(file).st_size >= HEADER_BYTES + 12_000:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(file, data[:6000])  # a write may be short

    monkeypatch.setattr(keep.os, "write", fill)
    heard = []
    with pytest.raises(StorageError, match="No space left"):
        for chunk in KeptSource(sounds.Samples(sounds.sine(1.0)), path).chunks():
            heard.append(chunk.samples)
    monkeypatch.undo()
    assert len(heard) == 1
    assert path.read_bytes()[HEADER_BYTES:].startswith(heard[0])
    repair_recording(path)
    assert read_wav(path).startswith(heard[0])


@pytest.mark.parametrize("content", [b"", b"RIFF", bytes(100), b"left deltoid four\n" * 9])
def test_only_our_recordings_are_repaired(path, content):
    path.write_bytes(content)
    with pytest.raises(InputError, match="no recording of dictate"):
        repair_recording(path)
    assert path.read_bytes() == content


def test_missing_recording_cannot_be_repaired(path):
    with pytest.raises(StorageError, match="cannot be repaired"):
        repair_recording(path)


def test_as_long_as_it_can_be(sounds, path, monkeypatch):
    monkeypatch.setattr(keep, "MOST_BYTES", 10_000)
    with pytest.raises(StorageError, match="as long as it can be"):
        list(KeptSource(sounds.Samples(np.zeros(16_000, np.int16)), path).chunks())
    assert len(read_wav(path)) == 8000
