"""Saved words come back as they were, and a damaged file is refused."""

from __future__ import annotations

import json
import stat

import pytest

from dictate.errors import InputError, StorageError
from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.recognise.replay import ReplayRecogniser, write_utterances

SAID = (
    Utterance(
        "u1",
        "left toe up",
        0.5,
        1.4,
        (
            Word("left", 0, 4, 0.5, 0.8, 0.75),
            Word("toe", 5, 8, 0.8, 1.0, 1.0),
            Word("up", 9, 11, 1.0, 1.4, None),
        ),
    ),
    Utterance("u2", "café normal", 3.0, 4.0, ()),
    Utterance("u3", "typed", None, None, ()),
    Utterance(
        "u4",
        "no",
        5.0,
        5.5,
        (Word("no", 0, 2, 5.0, 5.5, 1.0, False),),
        hearings=(Hearing("taught", "no", (Word("no", 0, 2, 5.0, 5.5, 1.0),)), Hearing("open", "")),
        disputed=(Disputed(0, 2, "", "open", "doubted"),),
    ),
)


def read(path):
    return tuple(ReplayRecogniser().utterances(path))


@pytest.fixture
def saved(tmp_path):
    path = tmp_path / "words.jsonl"
    assert tuple(write_utterances(path, SAID)) == SAID
    return path


def test_round_trip(saved):
    assert read(saved) == SAID


def test_file_is_the_owners_alone_and_never_overwritten(saved):
    assert stat.S_IMODE(saved.stat().st_mode) == 0o600
    with pytest.raises(StorageError, match="cannot be saved"):
        list(write_utterances(saved, SAID))
    assert read(saved) == SAID


def test_no_folder_to_write_to(tmp_path):
    with pytest.raises(StorageError, match="cannot be saved"):
        list(write_utterances(tmp_path / "none" / "words.jsonl", SAID))


def test_each_utterance_is_on_disk_before_it_is_handed_on(tmp_path):
    path = tmp_path / "words.jsonl"
    first = next(write_utterances(path, SAID))
    assert (first, read(path)) == (SAID[0], SAID[:1])


def test_missing_file(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read(tmp_path / "none.jsonl")


def damage(key, value, word=None):
    line = {
        "id": "u1",
        "text": "left toe",
        "start": 0.0,
        "end": 1.0,
        "words": [
            {"text": "left", "start": 0, "end": 4, "start_s": 0.0, "end_s": 1.0, "confidence": 1.0}
        ],
    }
    (line if word is None else line["words"][word])[key] = value
    return json.dumps(line)


@pytest.mark.parametrize(
    "line",
    [
        "left toe up",
        "[]",
        '{"id": "u1"}',
        damage("extra", 1),
        damage("id", 7),
        damage("text", ""),
        damage("start", 2.0),
        damage("start", None),
        damage("end", float("nan")),
        damage("end", 10**400),
        damage("words", {}),
        damage("text", "right", word=0),
        damage("end", 40, word=0),
        damage("start", True, word=0),
        damage("confidence", 1.5, word=0),
        damage("confidence", "high", word=0),
        damage("start_s", -1, word=0),
        damage("agreed", "yes", word=0),
        damage("hearings", [{"listener": "open"}]),
        damage("hearings", {}),
        damage(
            "disputed",
            [{"start": 0, "end": 99, "instead": "", "listener": "open", "kind": "other"}],
        ),
        damage(
            "disputed", [{"start": 0, "end": 1, "instead": "", "listener": "open", "kind": "sure"}]
        ),
        "[" * 100_000,
    ],
)
def test_a_bad_line_is_refused_with_its_number(tmp_path, line):
    path = tmp_path / "words.jsonl"
    path.write_text("\n" + line + "\n", encoding="utf-8")
    with pytest.raises(InputError, match="line 2"):
        read(path)


def test_an_id_that_comes_twice_is_refused(saved):
    saved.write_bytes(saved.read_bytes() * 2)
    with pytest.raises(InputError, match="comes twice"):
        read(saved)


def test_a_file_cut_off_at_any_byte_is_refused_or_a_beginning(saved):
    whole = saved.read_bytes()
    for length in range(1, len(whole)):
        saved.write_bytes(whole[:length])
        try:
            found = read(saved)
        except InputError:
            continue
        assert found == SAID[: len(found)]
