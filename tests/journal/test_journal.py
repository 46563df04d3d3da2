"""The journal: whole lines in order, whatever the disk does; and the record out of it again."""

from __future__ import annotations

import errno
import json
import os
import stat

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import InputError, StorageError
from dictate.grammar import load_grammar
from dictate.journal import writing
from dictate.journal.plain import from_plain, to_plain
from dictate.journal.reading import read_journal
from dictate.journal.writing import Journal
from dictate.model import Utterance, Word


@pytest.fixture
def path(tmp_path):
    return tmp_path / "journal.jsonl"


def test_a_line_is_on_disk_when_write_returns(path):
    journal = Journal(path)
    for number in range(1, 4):
        journal.write("notice", sentence=f"“{number}”")
        lines = path.read_text(encoding="utf-8").splitlines()
        assert len(lines) == number
        assert json.loads(lines[-1])["n"] == number
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert journal.fault == "" and journal.waiting == 0


def test_nothing_is_overwritten(path):
    path.write_text("mine")
    with pytest.raises(StorageError, match="cannot be written"):
        Journal(path)
    assert path.read_text() == "mine"


@pytest.mark.parametrize("cut", [1, 20, 60])
def test_a_torn_last_line_is_told_and_left_out_and_the_next_is_whole(path, cut):
    journal = Journal(path)
    journal.write("started", format=1)
    journal.write("notice", sentence="one")
    journal.close()
    path.write_bytes(path.read_bytes()[:-cut])
    found = read_journal(path)
    assert [e["event"] for e in found.events] == (
        ["started", "notice"] if cut == 1 else ["started"]
    )
    assert len(found.notices) == (0 if cut == 1 else 1)
    again = Journal(path, found.next_number)
    again.write("notice", sentence="two")
    again.close()
    assert read_journal(path).events[-1]["sentence"] == "two"
    assert read_journal(path).events[-1]["n"] == found.next_number


def test_full_disk_loses_nothing_and_tears_no_line(path, monkeypatch):
    journal = Journal(path)
    journal.write("started", format=1)
    room, write = [37], os.write

    def fill(file, data):
        if not room[0]:
            raise OSError(errno.ENOSPC, "No space left on device")
        done = write(file, bytes(data[: room[0]]))
        room[0] -= done
        return done

    monkeypatch.setattr(writing.os, "write", fill)
    for word in ("one", "two", "three"):
        journal.write("notice", sentence=word)
    assert journal.fault == "No space left on device" and journal.waiting == 3
    room[0] = 10_000
    journal.flush()
    assert journal.fault == "" and journal.waiting == 0
    found = read_journal(path)
    assert [e.get("sentence") for e in found.events] == [None, "one", "two", "three"]
    assert len(found.notices) == 1 and "line 2" in found.notices[0]


def test_a_line_that_has_gone_is_told(path):
    journal = Journal(path)
    for word in ("one", "two", "three"):
        journal.write("notice", sentence=word)
    lines = path.read_text().splitlines(keepends=True)
    path.write_text(lines[0] + lines[2])
    assert read_journal(path).notices == ("a line is missing in the journal before number 3",)


@pytest.mark.parametrize("content", [b"", b"\n\n", b"left deltoid four\n", bytes(99), b"[1]\n"])
def test_what_is_no_journal_is_refused(path, content):
    path.write_bytes(content)
    with pytest.raises(InputError, match="nothing that can be read"):
        read_journal(path)


def test_another_format_is_refused(path):
    path.write_text('{"n": 1, "event": "started", "format": 3}\n')
    with pytest.raises(InputError, match="format 3"):
        read_journal(path)


numbers = st.none() | st.floats(0, 10_000)
words = st.builds(
    Word, st.text(), st.integers(0, 99), st.integers(0, 99), numbers, numbers, numbers
)
utterances = st.builds(
    Utterance, st.text(), st.text(), numbers, numbers, st.tuples() | st.tuples(words, words),
    st.none() | st.just("finding"),
)  # fmt: skip


@given(utterances)
def test_shapes_come_back_as_they_were(utterance):
    assert from_plain(Utterance, json.loads(json.dumps(to_plain(utterance)))) == utterance


@pytest.mark.parametrize(
    "entry",
    [{}, {"id": "u1"}, {"id": 1, "text": "x"}, {"id": "u1", "text": "x", "more": 1},
     {"id": "u1", "text": "x", "kind": "song"}, {"id": "u1", "text": "x", "words": "y"}],
)  # fmt: skip
def test_what_is_no_utterance_is_refused(entry):
    with pytest.raises(ValueError, match=r".+"):
        from_plain(Utterance, entry)


#: Utterances that make findings, questions, headings, corrections, repeats and talk.
SAID = (
    "right biceps four out of five", "no make that three", "same on the other side",
    "knee jerk three plus", "left arm", "deltoid five triceps four plus", "take that back",
    "reflexes next", "close your eyes", "right deltoid is um", "four", "correction left",
    "light touch absent in the left foot", "right biceps two", "on the left",
)  # fmt: skip
GRAMMAR = load_grammar()


@settings(max_examples=60)
@given(st.lists(st.sampled_from(SAID), max_size=8), st.sampled_from(SAID))
def test_a_preview_tells_what_hearing_does_and_leaves_no_trace(said, last):
    import copy

    from dictate.resolve.fork import state_of
    from dictate.session import Session

    session = Session(GRAMMAR)
    for number, text in enumerate(said, 1):
        session.hear(Utterance(f"u{number}", text))
    coming = Utterance(f"u{len(said) + 1}", last)
    before = copy.deepcopy(state_of(session._resolver))
    foretold = session.preview(coming)
    assert state_of(session._resolver) == before
    entries = session._resolver.entries
    assert all(
        any(e is entry for entry in entries) or e not in entries for e in session._resolver.run
    )
    assert session.hear(coming) == foretold
