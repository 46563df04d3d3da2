"""Sound files: any kind, and every fault that a file can have."""

from __future__ import annotations

import random

import numpy as np
import pytest

from dictate.audio.content import is_sound_file
from dictate.audio.file import FileSource
from dictate.errors import InputError


def hear(path):
    source = FileSource(path)
    chunks = list(source.chunks())
    samples = np.frombuffer(b"".join(chunk.samples for chunk in chunks), "<i2")
    return source, chunks, samples.astype(float)


def pitch(samples):
    return np.abs(np.fft.rfft(samples)).argmax() * 16_000 / len(samples)


@pytest.mark.parametrize("rate", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
@pytest.mark.parametrize("channels", [1, 2, 6])
def test_any_rate_and_number_of_channels(tmp_path, sounds, rate, channels):
    path = tmp_path / "a.wav"
    path.write_bytes(sounds.wav(sounds.sine(2.0, rate=rate), rate=rate, channels=channels))
    source, chunks, samples = hear(path)
    assert source.notices == []
    assert source.duration_s == pytest.approx(2.0, abs=0.01)
    assert len(samples) == pytest.approx(32_000, abs=40)
    assert pitch(samples) == pytest.approx(440, abs=1)
    assert samples[8000:24000].std() == pytest.approx(8000 / 2**0.5, rel=0.03)
    assert [chunk.start_s for chunk in chunks[:3]] == [0.0, 0.25, 0.5]


@pytest.mark.parametrize(
    ("container", "codec"),
    [
        ("flac", "flac"),
        ("mp3", "libmp3lame"),
        ("ipod", "aac"),
        ("matroska", "aac"),
        ("ogg", "libopus"),
    ],
)
def test_other_kinds_under_a_wrong_name(tmp_path, sounds, container, codec):
    path = tmp_path / "wrong.txt"
    path.write_bytes(sounds.encoded(container, codec, sounds.sine(2.0, rate=48_000)))
    assert is_sound_file(path)
    source, _, samples = hear(path)
    assert source.notices == []
    assert pitch(samples) == pytest.approx(440, abs=2)
    assert len(samples) == pytest.approx(32_000, abs=2_000)


FAULTS = {
    "empty.wav": (b"", "empty"),
    "words.wav": (b"right deltoid four\n" * 100, "text, not sound"),
    "noise.wav": (random.Random(3).randbytes(200_000), "no sound that can be read"),
    "utf16.txt": ("right deltoid four".encode("utf-16"), "no sound that can be read"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_what_is_no_sound_is_refused_in_a_sentence(tmp_path, name):
    content, says = FAULTS[name]
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError, match=says):
        FileSource(path)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(InputError, match="no file"):
        FileSource(tmp_path / "none.wav")
    with pytest.raises(InputError, match="folder"):
        FileSource(tmp_path)


def test_recording_of_no_length(tmp_path, sounds):
    path = tmp_path / "a.wav"
    path.write_bytes(sounds.wav(sounds.sine(0)))
    with pytest.raises(InputError, match="0 seconds"):
        FileSource(path)


def test_video_without_sound(tmp_path):
    import av

    path = tmp_path / "a.mkv"
    with av.open(str(path), "w", format="matroska") as out:
        stream = out.add_stream("mpeg4", rate=5)
        stream.width = stream.height = 64
        stream.pix_fmt = "yuv420p"
        frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            out.mux(packet)
    with pytest.raises(InputError, match="no sound track"):
        FileSource(path)


def cut_off(sounds, kind):
    """The first six tenths of a file of ten seconds."""
    made = {
        "wav": lambda: sounds.wav(sounds.sine(10.0)),
        "flac": lambda: sounds.encoded("flac", "flac", sounds.sine(10.0, rate=48_000)),
        "matroska": lambda: sounds.encoded("matroska", "aac", sounds.sine(10.0, rate=48_000)),
        "ogg": lambda: sounds.encoded("ogg", "libopus", sounds.sine(10.0, rate=48_000)),
        "mp3": lambda: sounds.encoded("mp3", "libmp3lame", sounds.sine(10.0, rate=48_000)),
    }[kind]()
    return made[: len(made) * 6 // 10]


@pytest.mark.parametrize("kind", ["wav", "flac", "matroska", "mp3", "ogg"])
def test_cut_off_file_gives_what_is_there_and_says_so(tmp_path, sounds, kind):
    path = tmp_path / "a"
    path.write_bytes(cut_off(sounds, kind))
    source, _, samples = hear(path)
    assert 4.5 < len(samples) / 16_000 < 7.0
    assert len([notice for notice in source.notices if "cut off at 00:0" in notice]) == 1


def test_file_cut_off_before_its_index(tmp_path, sounds):
    made = sounds.encoded("ipod", "aac", sounds.sine(5.0, rate=48_000))
    path = tmp_path / "a.m4a"
    path.write_bytes(made[: len(made) // 2])
    with pytest.raises(InputError, match="cut off"):
        FileSource(path)


@pytest.mark.parametrize(("container", "codec"), [("flac", "flac"), ("ipod", "aac")])
def test_damage_is_told_with_its_time_and_keeps_the_length(tmp_path, sounds, container, codec):
    noise = np.random.default_rng(5).integers(-9000, 9000, 480_000).astype(np.int16)
    made = bytearray(sounds.encoded(container, codec, noise))
    middle = len(made) // 2
    made[middle : middle + 3000] = random.Random(1).randbytes(3000)
    path = tmp_path / "a"
    path.write_bytes(made)
    source, _, samples = hear(path)
    assert len(samples) / 16_000 == pytest.approx(10.0, abs=0.3)
    assert len(source.notices) == 1
    assert "damaged from 00:04" in source.notices[0] or "damaged from 00:05" in source.notices[0]


def test_long_file_is_never_held_whole(tmp_path, sounds):
    import tracemalloc

    path = tmp_path / "a.wav"
    path.write_bytes(sounds.wav(sounds.sine(300.0)))
    source = FileSource(path)
    tracemalloc.start()
    total = sum(len(chunk.samples) for chunk in source.chunks())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert total == 300 * 32_000
    assert peak < 1_000_000


@pytest.mark.parametrize(
    ("content", "is_sound"),
    [
        (b"left 4+\tokay\r\n", False),
        ("\ufeffé".encode(), False),
        (b"a" * 65_535 + "é".encode(), False),
        (b"left\x00four", True),
        (b"caf\xe9 four", True),
    ],
)
def test_text_and_sound_are_told_apart_by_content(tmp_path, content, is_sound):
    path = tmp_path / "a.wav"
    path.write_bytes(content)
    assert is_sound_file(path) is is_sound
