"""Recordings as they come: cut off, empty of speech, of a telephone, of many channels, with hum.

Through the whole program with the real listeners: what can be heard is heard, and what is wrong
with the sound is said in one sentence.
"""

from __future__ import annotations

import io
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from click.testing import CliRunner

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ
from dictate.cli import main
from dictate.errors import InputError
from dictate.model import Record
from dictate.narrate import narrate
from dictate.recognise import pair
from dictate.recognise.vosk import VoskModel
from dictate.session import Session

DEMO = Path(__file__).resolve().parents[2] / "audio_demo" / "demo.flac"
#: A stretch of the demo (seconds) that gives findings with sides and grades.
FROM_S, TO_S = 8.5, 26.0


@pytest.fixture(scope="module", autouse=True)
def loaded_once(model_folder):
    """The same model for all of these; loading it is tried elsewhere."""
    model = VoskModel(model_folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pair, "find_model", lambda: model)
        yield


@pytest.fixture(scope="module")
def demo():
    """The stretch as samples, 16 kHz mono."""
    samples = b"".join(chunk.samples for chunk in FileSource(DEMO).chunks())
    return np.frombuffer(samples, "<i2")[int(FROM_S * RATE_HZ) : int(TO_S * RATE_HZ)]


@pytest.fixture(scope="module")
def hear(model_folder, tmp_path_factory):
    """Lets the program hear a file of given bytes."""

    def heard(content: bytes, name: str = "sound.wav") -> Record:
        path = tmp_path_factory.mktemp("sound") / name
        path.write_bytes(content)
        session = Session()
        narrate(session, path)
        return session.record()

    return heard


@pytest.fixture(scope="module")
def plain(hear, demo):
    """What the stretch gives as it is."""
    record = hear(wav(demo))
    assert len(record.findings) >= 3 and record.notices == ()
    return record


def wav(samples, rate=RATE_HZ, channels=1):
    """A WAV file; several channels are rows."""
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(np.clip(np.rint(samples), -32768, 32767).astype("<i2").T.tobytes())
    return file.getvalue()


def encoded(samples, rate, codec, container, layout="mono"):
    """A file of another rate, codec and number of channels."""
    file = io.BytesIO()
    with av.open(file, "w", format=container) as out:
        stream = out.add_stream(codec, rate=rate)
        stream.layout = layout
        rows = np.ascontiguousarray(np.atleast_2d(samples).astype(np.int16))
        frame = av.AudioFrame.from_ndarray(rows, format="s16p", layout=layout)
        frame.sample_rate = RATE_HZ
        resampler = av.AudioResampler(stream.format.name, layout, rate)
        frames = [*resampler.resample(frame), *resampler.resample(None)]
        for packet in [p for f in frames for p in stream.encode(f)] + list(stream.encode(None)):
            out.mux(packet)
    return file.getvalue()


def rows(record):
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


def hum(samples, peak):
    time = np.arange(samples.shape[-1]) / RATE_HZ
    return peak * (np.sin(2 * np.pi * 50 * time) + 0.3 * np.sin(2 * np.pi * 150 * time))


def test_cut_in_the_middle_the_first_part_is_heard_and_the_cut_is_said(hear, demo, plain):
    content = wav(demo)
    record = hear(content[: len(content) * 65 // 100])
    assert rows(record) == rows(plain)[: len(record.findings)] != []
    (notice,) = record.notices
    assert notice.startswith("the recording is cut off at 00:11")


def test_a_wrong_ending_does_not_matter(hear, demo, plain):
    assert rows(hear(wav(demo), "sound.mp3")) == rows(plain)
    assert rows(hear(wav(demo), "sound.txt")) == rows(plain)


@pytest.mark.parametrize("seconds", [1, 20])
def test_silence_is_one_sentence_and_no_note(model_folder, tmp_path, seconds):
    path = tmp_path / "silence.wav"
    path.write_bytes(wav(np.zeros(seconds * RATE_HZ)))
    result = CliRunner().invoke(main, ["note", str(path)])
    assert (result.exit_code, result.stdout) == (InputError.exit_code, "")
    (said,) = result.stderr.strip().splitlines()
    assert said.startswith("silence.wav says nothing") and said.endswith(".")
    assert seconds < 3 or "the recording is silent: check that the right microphone was on" in said


@pytest.mark.parametrize("size", [200, 4000])
@pytest.mark.parametrize("seed", [1, 2])
def test_noise_gives_no_finding_and_no_question(model_folder, tmp_path, size, seed):
    noise = np.random.default_rng(seed).normal(scale=size, size=20 * RATE_HZ)
    path = tmp_path / "noise.wav"
    path.write_bytes(wav(noise))
    session = Session()
    try:
        narrate(session, path)
        said = " ".join(session.record().notices)
    except InputError as fault:
        said = str(fault)
    assert "the room is too loud: about " in said
    assert session.record().findings == session.record().questions == ()


@pytest.mark.parametrize("codec", ["pcm_mulaw", "pcm_alaw", "pcm_s16le"])
def test_telephone_sound_of_8_khz(hear, demo, plain, codec):
    """A band of 4 kHz takes words; what is then disputed is asked, and nothing else comes of it."""
    record = hear(encoded(demo, 8_000, codec, "wav"))
    assert record.findings and set(rows(record)) <= set(rows(plain))
    assert len(record.findings) + len(record.questions) >= len(plain.findings)


def test_96_khz_in_six_channels(hear, demo, plain):
    silent = np.zeros_like(demo)
    six = np.stack([silent, silent, demo, silent, silent, silent])
    record = hear(encoded(six, 96_000, "flac", "flac", "5.1"))
    assert rows(record) == rows(plain)


@pytest.mark.parametrize("louder", [0, 1])
def test_two_microphones_the_louder_is_heard(hear, demo, plain, louder):
    other = np.random.default_rng(4).normal(scale=5, size=demo.size)
    both = np.stack([demo, other] if louder == 0 else [other, demo])
    assert rows(hear(wav(both, channels=2))) == rows(plain)


def test_two_microphones_both_are_heard(hear, demo, plain):
    """Each speaker's half is on another channel, as with a microphone for each."""
    half = demo.size // 2
    first, second = demo.copy(), demo.copy()
    first[half:], second[:half] = 0, 0
    assert rows(hear(wav(np.stack([first, second]), channels=2))) == rows(plain)


def test_hum_is_said_and_the_words_are_heard(hear, demo, plain):
    record = hear(wav(demo + hum(demo, 1500)))
    assert rows(record) == rows(plain)
    (notice,) = record.notices
    assert notice.startswith("the recording hums at 50 Hz")


def test_a_loud_room_is_said_with_its_decibels(hear, demo, plain):
    level = float(np.sqrt((demo[np.abs(demo) > 300].astype(float) ** 2).mean()))
    noise = np.random.default_rng(5).normal(scale=level / 2, size=demo.size)
    record = hear(wav(demo + noise))
    assert any(n.startswith("the room is too loud: about ") and " dB " in n for n in record.notices)
    assert set(rows(record)) <= set(rows(plain))


def test_clipped_stretches_are_said_with_their_times(hear, demo):
    loud = demo.astype(float)
    loud[8 * RATE_HZ : 11 * RATE_HZ] *= 40
    told = [n for n in hear(wav(loud)).notices if "clipped" in n]
    assert told and told[0].startswith("the recording is clipped from 00:0")


def test_quiet_speech_is_said_and_heard(hear, demo, plain):
    record = hear(wav(demo / 60))
    assert set(rows(record)) <= set(rows(plain))
    assert any(n.startswith("the speech is very quiet: about -") for n in record.notices)


def test_notices_are_on_the_screen_where_the_output_holds_none(model_folder, demo, tmp_path):
    path = tmp_path / "cut.wav"
    path.write_bytes(wav(demo)[:300_000])
    result = CliRunner().invoke(main, ["note", str(path), "--as", "captions"])
    assert result.exit_code == 0 and result.stdout.startswith("WEBVTT")
    assert "Notice: the recording is cut off at 00:09" in result.stderr
    result = CliRunner().invoke(main, ["note", str(path), "--out", str(tmp_path / "out")])
    assert "Notice: the recording is cut off at 00:09" in result.stderr
    result = CliRunner().invoke(main, ["note", str(path)])
    assert "Notice" not in result.stderr and "cut off at 00:09" in result.stdout
