"""The loop without sound: what comes in, what is journalled, what the observers are told."""

from __future__ import annotations

import errno
import json
import os

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.journal import writing
from dictate.journal.reading import read_journal
from dictate.journal.writing import Journal
from dictate.listen.asking import Asker
from dictate.listen.events import (
    Answered,
    HeardUtterance,
    Partial,
    Preview,
    Request,
    State,
    Trouble,
)
from dictate.listen.hearing import Outcome
from dictate.listen.loop import Loop
from dictate.listen.past import replay
from dictate.session import Session

GRAMMAR = load_grammar()
BLOCK = bytes(1600)


class ScriptedHearing:
    """Hears what the script says at its seconds: partial, pause and utterance."""

    def __init__(self, script, timed):
        self.notices = []
        self._script = sorted(script)
        self._timed = timed
        self.now_s, self.last_s = 0.0, -9.0
        self.passed = 0

    @property
    def speaking(self):
        return self.silent_s < 0.7

    @property
    def silent_s(self):
        return self.now_s - self.last_s

    def take(self, chunk):
        self.now_s = chunk.end_s
        out = Outcome(read_to_s=0.0)
        if self._script and self._script[0][0] <= self.now_s:
            at_s, text = self._script.pop(0)
            if isinstance(text, Exception):
                raise text
            utterance = self._timed(text, at_s)
            self.last_s = self.now_s
            out.words, out.done, out.read_to_s = "", [utterance], utterance.end
        elif self._script and self._script[0][0] - 0.4 <= self.now_s:
            text = self._script[0][1]
            if isinstance(text, str):
                out.words = text
                out.paused = self._timed(text, self._script[0][0])
        return out

    def pass_by(self, chunk):
        self.now_s = chunk.end_s
        self.passed += 1

    def end(self):
        return Outcome()


class Notes:
    """An observer that remembers, and checks that the journal had it first."""

    def __init__(self, journal_path):
        self.events = []
        self._path = journal_path

    def take(self, event, session):
        self.events.append(event)
        if isinstance(event, HeardUtterance | Preview):
            assert event.utterance.text in self._path.read_text()

    def of(self, kind):
        return [event for event in self.events if isinstance(event, kind)]


@pytest.fixture
def make(tmp_path, timed, player, voice):
    def build(script, mode="always", asker=None):
        session = Session(GRAMMAR)
        path = tmp_path / "journal.jsonl"
        journal = Journal(path)
        journal.write("started", format=1)
        notes = Notes(path)
        asks = asker(session) if asker else Asker(None, None, session, "screen")
        hearing = ScriptedHearing(script, timed)
        loop = Loop(session, hearing, journal, asks, (notes,), mode)
        loop.begin()
        return loop, notes, path

    return build


def run(loop, until_s, presses=(), from_s=0.0):
    waiting = list(presses)
    for number in range(round(from_s * 20), round(until_s * 20)):
        if loop.over:
            return
        while waiting and waiting[0] <= number / 20:
            loop.press()
            waiting.pop(0)
        loop.take(AudioChunk(BLOCK, number / 20))
        loop.look_after()


def rows(session):
    return [(f.test, f.site, f.side, f.value) for f in session.record().findings]


def same_as_replayed(loop, path):
    past = replay(read_journal(path), Session(GRAMMAR))
    assert past.session.record() == loop.session.record()
    assert past.differs == 0
    return past


def test_words_then_a_preview_then_the_finding(make):
    loop, notes, path = make([(2.0, "right biceps four out of five")])
    run(loop, 5)
    kinds = [type(e) for e in notes.events if isinstance(e, Partial | Preview | HeardUtterance)]
    assert kinds[0] is Partial and Preview in kinds and kinds[-1] is HeardUtterance
    foretold = notes.of(Preview)[-1].heard.added
    assert [(f.site, f.side, f.value) for f in foretold] == [("biceps", "right", "4")]
    assert rows(loop.session) == [("strength", "biceps", "right", "4")]
    same_as_replayed(loop, path)


def test_phrase_mode_hears_only_between_the_phrases(make):
    loop, notes, path = make(
        [
            (2.0, "left biceps three out of five"),
            (4.0, "here come the findings"),
            (6.0, "right biceps four out of five"),
            (9.0, "so much for the findings"),
            (11.0, "left triceps two out of five"),
        ],
        mode="phrase",
    )
    run(loop, 14)
    assert [s.listening for s in notes.of(State)] == [False, True, False]
    assert rows(loop.session) == [("strength", "biceps", "right", "4")]
    assert not any("left" in event.text for event in notes.of(Partial))
    asides = [e["utterance"]["text"] for e in read_journal(path).events if e["event"] == "aside"]
    assert asides == ["left biceps three out of five", "left triceps two out of five"]
    past = same_as_replayed(loop, path)
    assert past.beginning.listening is False and past.beginning.utterances == 3


def test_a_pause_by_voice_and_on_again(make):
    loop, notes, path = make(
        [
            (1.0, "pause the notes"),
            (3.0, "left biceps three out of five"),
            (6.0, "go on with the notes"),
            (8.0, "right biceps four out of five"),
        ]
    )
    run(loop, 11)
    assert [(s.listening, s.why) for s in notes.of(State)] == [
        (True, "start"), (False, "pause"), (True, "pause"),
    ]  # fmt: skip
    assert rows(loop.session) == [("strength", "biceps", "right", "4")]
    assert [r.kind for r in notes.of(Request)] == ["pause", "go_on"]
    same_as_replayed(loop, path)


@pytest.mark.parametrize(
    ("presses", "on"),
    [
        pytest.param([1.0, 4.0], (1.0, 4.3), id="tapped"),
        pytest.param([1.0, 1.5, *(1.5 + k / 20 for k in range(1, 50))], (1.0, 4.2), id="held"),
    ],
)
def test_key_mode_decodes_only_while_the_key_says_so(make, presses, on):
    loop, notes, _ = make([], mode="key")
    run(loop, 6, presses)
    states = notes.of(State)
    assert [(s.listening, s.why) for s in states] == [
        (False, "start"),
        (True, "key"),
        (False, "key"),
    ]
    not_decoded_s = loop._ears._hearing.passed / 20
    assert not_decoded_s == pytest.approx(6 - (on[1] - on[0]) - 0.3, abs=0.25)


def test_keys_mean_nothing_in_the_other_modes(make):
    loop, notes, _ = make([(2.0, "right biceps four out of five")])
    run(loop, 4, [0.5, 1.0])
    assert len(notes.of(State)) == 1 and len(rows(loop.session)) == 1


def test_finishing_by_voice_asks_what_is_open_and_ends(make):
    loop, notes, path = make(
        [(1.0, "knee jerk three plus"), (3.0, "the note is complete"), (6.0, "left")]
    )
    run(loop, 60)
    assert loop.over and loop.now_s < 20
    assert [len(answer.heard.added) for answer in notes.of(Answered)] == [1]
    assert rows(loop.session) == [("stretch_reflex", "knee", "left", "3+")]
    same_as_replayed(loop, path)


def test_a_recogniser_that_fails_is_said_and_the_dictation_goes_on(make):
    loop, notes, _ = make(
        [(1.0, "right biceps four out of five"), (3.0, ModelError("The engine failed."))]
    )
    run(loop, 6)
    assert "The engine failed." in notes.of(Trouble)[0].sentence
    assert len(notes.of(Trouble)) == 1 and len(rows(loop.session)) == 1
    assert loop.now_s == pytest.approx(6.0)


def test_a_listener_that_is_missing_or_fails_is_said_at_once_and_only_once(make):
    loop, notes, path = make([(1.0, "right biceps four out of five")])
    assert notes.of(Trouble) == []
    run(loop, 2)
    loop._ears._hearing.notices.append("The second listener failed (no memory).")
    run(loop, 2.1, from_s=2)
    assert [t.sentence for t in notes.of(Trouble)] == ["The second listener failed (no memory)."]
    run(loop, 5, from_s=2.1)
    loop.end_sound()
    assert len(notes.of(Trouble)) == 1
    assert list(loop.session.record().notices) == loop.notices
    same_as_replayed(loop, path)  # broken off here, it would still be said


def test_a_listener_that_is_missing_from_the_start_is_said_before_any_sound(tmp_path, timed):
    session, hearing = Session(GRAMMAR), ScriptedHearing([], timed)
    hearing.notices.append("The third listener is not here.")
    notes = Notes(tmp_path / "journal.jsonl")
    journal = Journal(tmp_path / "journal.jsonl")
    journal.write("started", format=1)
    loop = Loop(session, hearing, journal, Asker(None, None, session, "screen"), (notes,))
    loop.begin()
    assert [t.sentence for t in notes.of(Trouble)] == ["The third listener is not here."]
    again = Loop(session, hearing, journal, Asker(None, None, session, "screen"), (notes,))
    again.begin()
    assert len(notes.of(Trouble)) == 2
    assert session.record().notices == ("The third listener is not here.",)


def test_full_disk_is_said_once_and_dictation_goes_on(make, monkeypatch):
    loop, notes, path = make(
        [(1.0, "right biceps four out of five"), (4.0, "left biceps three out of five")]
    )
    notes._path = type("Any", (), {"read_text": staticmethod(lambda: AnyText())})()
    write, full = os.write, [True]

    def fill(file, data):
        if full[0]:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(file, data)

    run(loop, 0.5)
    monkeypatch.setattr(writing.os, "write", fill)
    run(loop, 6, from_s=0.5)
    assert len(rows(loop.session)) == 2
    said = [t.sentence for t in notes.of(Trouble)]
    assert len(said) == 1 and "No space left" in said[0]
    full[0] = False
    run(loop, 7, from_s=6)
    assert len(notes.of(Trouble)) == 2 and "written again" in notes.of(Trouble)[1].sentence
    same_as_replayed(loop, path)


class AnyText(str):
    def __contains__(self, item):
        return True


def test_journal_holds_plain_json_with_numbers_in_order(make):
    loop, _, path = make([(1.0, "right biceps four out of five")])
    run(loop, 4)
    entries = [json.loads(line) for line in path.read_text().splitlines()]
    assert [e["n"] for e in entries] == list(range(1, len(entries) + 1))
