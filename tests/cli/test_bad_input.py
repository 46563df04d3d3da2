"""What cannot be read gives one clear sentence, another exit code than 0, and no traceback."""

from __future__ import annotations

import io
import random
import subprocess
import sys
import wave
from pathlib import Path

import av
import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[2]

INPUT, USAGE, GRAMMAR, STORAGE = 4, 2, 3, 6


def _empty_sound(path: Path) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(b"")


@pytest.mark.parametrize("name", ["narration.txt", "narration.wav", "narration.json", "narration"])
def test_an_empty_file(run, one_sentence, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"")
    result = run("note", tmp_path / name)
    assert result.exit_code == INPUT
    assert "empty" in one_sentence(result)


@pytest.mark.parametrize("content", ["\n\n", "   \n\t\n", "\ufeff"])
def test_a_file_that_says_nothing(run, one_sentence, tmp_path: Path, content: str) -> None:
    (tmp_path / "said.txt").write_text(content, encoding="utf-8")
    result = run("note", tmp_path / "said.txt")
    assert result.exit_code == INPUT
    assert "said.txt" in one_sentence(result)


def test_standard_input_that_says_nothing(run, one_sentence) -> None:
    result = run("note", "-", text="")
    assert result.exit_code == INPUT
    one_sentence(result)


def test_text_named_as_a_sound_is_read_as_text(run, tmp_path: Path) -> None:
    (tmp_path / "said.wav").write_text("right deltoid four out of five\n", encoding="utf-8")
    result = run("note", tmp_path / "said.wav")
    assert result.exit_code == 0
    assert "4/5 in the right deltoid" in result.stdout


def test_a_sound_of_no_seconds(run, one_sentence, tmp_path: Path) -> None:
    _empty_sound(tmp_path / "said.wav")
    result = run("note", tmp_path / "said.wav")
    assert result.exit_code == INPUT
    assert "0 seconds" in one_sentence(result)


def test_a_folder(run, one_sentence, tmp_path: Path) -> None:
    result = run("note", tmp_path)
    assert result.exit_code == INPUT
    assert "folder" in one_sentence(result)


def test_a_missing_file(run, one_sentence, tmp_path: Path) -> None:
    result = run("note", tmp_path / "gone.txt")
    assert result.exit_code == INPUT
    assert "gone.txt" in one_sentence(result)


@pytest.mark.parametrize("name", ["noise.bin", "noise.wav", "noise.txt", "noise.mp3", "noise"])
@pytest.mark.parametrize("seed", range(3))
def test_noise(run, one_sentence, tmp_path: Path, name: str, seed: int) -> None:
    (tmp_path / name).write_bytes(random.Random(seed).randbytes(20_000))
    result = run("note", tmp_path / name)
    assert result.exit_code == INPUT
    assert name in one_sentence(result)


def test_noise_on_standard_input(run, one_sentence) -> None:
    result = run("note", "-", text=random.Random(1).randbytes(5_000))
    assert result.exit_code == INPUT
    one_sentence(result)


def _sound(kind: str) -> bytes:
    """A second of sound in a container."""
    made = io.BytesIO()
    with av.open(made, "w", format=kind) as file:
        codec = {"wav": "pcm_s16le", "flac": "flac", "ogg": "libopus", "mp3": "mp3", "ipod": "aac"}
        stream = file.add_stream(codec[kind], rate=48_000)
        for at in range(0, 48_000, 960):
            wave_ = (3000 * np.sin(np.arange(at, at + 960) / 20)).astype(np.int16)[None]
            frame = av.AudioFrame.from_ndarray(wave_, format="s16", layout="mono")
            frame.sample_rate, frame.pts = 48_000, at
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return made.getvalue()


@pytest.mark.parametrize("kind", ["wav", "flac", "ogg", "mp3", "ipod"])
def test_sound_on_standard_input(run, one_sentence, kind: str) -> None:
    """It says what to do with a recording, and nothing of encodings."""
    result = run("note", "-", text=_sound(kind))
    assert result.exit_code == INPUT
    said = one_sentence(result)
    assert "recording" in said and "UTF-8" not in said


@pytest.mark.parametrize("content", [b"right deltoid four \xe9\n", "sí\n".encode("latin-1")])
def test_text_in_another_encoding_on_standard_input(run, one_sentence, content: bytes) -> None:
    result = run("note", "-", text=content)
    assert result.exit_code == INPUT
    assert "UTF-8" in one_sentence(result)


PDF = (
    b"%PDF-1.4\n1 0 obj\n<< /Length 60 >>\nstream\nBT (right deltoid four out of five) Tj ET\n"
    b"endstream\nendobj\ntrailer << /Root 1 0 R >>\n%%EOF\n"
)
DOCUMENTS = [
    (PDF, "PDF"),
    (b"{\\rtf1\\ansi right deltoid four out of five}", "word processor"),
    (b"<!DOCTYPE html>\n<p>right deltoid four out of five</p>", "web page"),
    (b"\xef\xbb\xbf  <html><p>right deltoid four out of five</p></html>", "web page"),
    (b"<?xml version='1.0'?><p>right deltoid four out of five</p>", "XML"),
    (b"%!PS-Adobe-3.0\n(right deltoid four out of five) show", "PostScript"),
]


@pytest.mark.parametrize(("content", "what"), DOCUMENTS)
@pytest.mark.parametrize("name", ["said.txt", "said.pdf", "-"])
def test_a_document_with_text_inside(
    run, one_sentence, tmp_path: Path, content: bytes, what: str, name: str
) -> None:
    """A finding in it may be of another day, or crossed out: nobody narrated it."""
    (tmp_path / "said").write_bytes(content)
    (tmp_path / "said").rename(tmp_path / name.replace("-", "in"))
    given = "-" if name == "-" else tmp_path / name
    result = run("note", given, text=content if name == "-" else None)
    assert result.exit_code == INPUT
    assert what in one_sentence(result)


def test_signs_in_the_midst_of_typed_text_make_no_document(run, tmp_path: Path) -> None:
    (tmp_path / "said.txt").write_text("right grip four of five %PDF- <html>\n", encoding="utf-8")
    assert run("note", tmp_path / "said.txt").exit_code == 0


FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="there is no /dev/full here")
@pytest.mark.parametrize(
    "arguments",
    [["note", "-"], ["note", "-", "--as", "word"], ["note", "-", "--as", "record"], ["--help"]],
)
def test_standard_output_that_takes_no_more(arguments: list[str]) -> None:
    with FULL.open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "dictate", *arguments], input="left biceps 4/5\n", text=True,
            stdout=full, stderr=subprocess.PIPE, timeout=120, cwd=ROOT, check=False,
        )  # fmt: skip
    assert done.returncode == STORAGE
    assert done.stderr.strip().splitlines() == [done.stderr.strip()]
    assert "not written to its end" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize("content", [b"right deltoid four \xe9", "right deltoid".encode("utf-16")])
def test_text_in_another_encoding(run, one_sentence, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "said.txt").write_bytes(content)
    result = run("note", tmp_path / "said.txt")
    assert result.exit_code == INPUT
    one_sentence(result)


def test_a_control_character(run, one_sentence) -> None:
    result = run("note", "-", text=b"right deltoid four\nleft \x00 biceps\n")
    assert result.exit_code == INPUT
    assert "Line 2" in one_sentence(result)


def test_captions_of_typed_text(run, one_sentence) -> None:
    result = run("note", "-", "--as", "captions", text="left biceps 4/5\n")
    assert result.exit_code == INPUT
    assert "sound" in one_sentence(result)


def test_a_grammar_that_is_not_there(run, one_sentence, tmp_path: Path) -> None:
    result = run("note", "-", "--grammar", tmp_path / "gone", text="left biceps 4/5\n")
    assert result.exit_code == GRAMMAR
    assert "gone" in one_sentence(result)


def test_a_folder_that_cannot_be_written(run, one_sentence, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file stands here", encoding="utf-8")
    result = run("note", "-", "--out", tmp_path / "taken" / "in", text="left biceps 4/5\n")
    assert result.exit_code == STORAGE
    one_sentence(result)


@pytest.mark.parametrize(
    "arguments", [["nonsense"], ["note"], ["note", "-", "--as", "poem"], ["note", "-", "--loud"]]
)
def test_a_command_that_is_none(run, arguments: list[str]) -> None:
    result = run(*arguments, text="left biceps 4/5\n")
    assert result.exit_code == USAGE
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    assert "Traceback" not in result.stderr


def test_the_whole_program_prints_no_traceback(start, tmp_path: Path) -> None:
    """The same as a process of its own: nothing of the libraries below reaches the terminal."""
    _empty_sound(tmp_path / "said.wav")
    result = start("note", tmp_path / "said.wav")
    assert result.returncode == INPUT
    assert result.stdout == ""
    assert len(result.stderr.strip().splitlines()) == 1
