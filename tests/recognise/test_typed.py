"""Typed text to utterances."""

from __future__ import annotations

import io
import sys
from types import SimpleNamespace

import pytest

from dictate.errors import InputError
from dictate.model import Utterance
from dictate.recognise import typed
from dictate.recognise.typed import decode_text, read_typed, typed_utterances


def test_one_utterance_a_line_without_blank_ones():
    assert list(typed_utterances("tone normal\n\n  \r\nleft toe up\rno drift")) == [
        Utterance("u1", "tone normal"),
        Utterance("u2", "left toe up"),
        Utterance("u3", "no drift"),
    ]


@pytest.mark.parametrize("text", ["", "\n\n", "\ufeff", " \t "])
def test_nothing_typed_gives_nothing(text):
    assert list(typed_utterances(text)) == []


def test_byte_order_mark_is_dropped(tmp_path):
    path = tmp_path / "a.txt"
    path.write_bytes(b"\xef\xbb\xbfgait normal\n")
    assert [found.text for found in typed_utterances(read_typed(path))] == ["gait normal"]


@pytest.mark.parametrize("bad", ["\x00", "\x1b", "\x07", "\x7f", "\x9b", "\ud800"])
def test_control_characters_are_refused_with_their_line_before_anything_is_given_out(bad):
    with pytest.raises(InputError, match="Line 3 "):
        typed_utterances(f"tone normal\n\nleft{bad}toe up\n")


def test_other_encodings_are_refused_with_their_line():
    with pytest.raises(InputError, match="line 2"):
        decode_text(b"tone normal\ncaf\xe9\n")


def test_too_long_a_text_is_refused(monkeypatch):
    monkeypatch.setattr(typed, "LARGEST_TEXT_BYTES", 10)
    assert decode_text(b"0123456789") == "0123456789"
    with pytest.raises(InputError, match="too long"):
        decode_text(b"0123456789a")


def test_a_very_long_line_and_very_many_words():
    line = "left toe up, " * 4000
    words = "\n".join(["right biceps five"] * 70_000)
    found = list(typed_utterances(f"{line}\n{words}"))
    assert found[0].text == line
    assert len(found) == 70_001
    assert found[-1] == Utterance("u70001", "right biceps five")


def test_every_character_but_line_ends_is_kept():
    text = " tone normal \t\u2028left\u00a0toe up\u2029no drift\x85gait normal\x0cclonus absent"
    assert [found.text for found in typed_utterances(text)] == [
        " tone normal \t",
        "left\u00a0toe up",
        "no drift",
        "gait normal",
        "clonus absent",
    ]


def test_missing_file(tmp_path):
    with pytest.raises(InputError, match="no file"):
        read_typed(tmp_path / "none.txt")


def test_standard_input(monkeypatch):
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO("é normal".encode())))
    assert read_typed(None) == "é normal"


def test_reading_typed_text_loads_no_engine():
    import subprocess

    code = (
        "import sys; import dictate.recognise.typed, dictate.recognise.recogniser, "
        "dictate.recognise.model_store, dictate.audio.content; "
        "print([name for name in ('av', 'numpy', 'vosk') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path)},
    )
    assert done.stdout.strip() == "[]"
