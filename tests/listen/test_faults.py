"""A fault in the program ends no dictation: sound, journal and the next utterance go on."""

from __future__ import annotations

import logging

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.journal.reading import read_journal
from dictate.journal.writing import Journal
from dictate.listen.asking import Asker
from dictate.listen.events import HeardUtterance, Preview, Trouble
from dictate.listen.hearing import Outcome
from dictate.listen.loop import Loop
from dictate.listen.past import replay
from dictate.model import Utterance
from dictate.render import RENDERERS
from dictate.resolve import guard
from dictate.resolve.resolver import Resolver
from dictate.session import Session

GRAMMAR = load_grammar()
BAD = "left neglect absent"


@pytest.fixture
def failing(monkeypatch):
    """The reader fails in the middle of one utterance, with what was said in its message."""
    whole = guard.hear_checked

    def hear(resolver: Resolver, utterance: Utterance):
        kind = whole(resolver, utterance)
        if utterance.text == BAD:
            raise IndexError(utterance.text)
        return kind

    monkeypatch.setattr(guard, "hear_checked", hear)


def told(session, *lines):
    return [session.hear(Utterance(f"u{n}", line)) for n, line in enumerate(lines, 1)]


def rows(record):
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


def test_what_cannot_be_read_is_a_remark_with_a_notice(failing, caplog):
    """Nothing of it is in the record, and what holds goes on holding."""
    with caplog.at_level(logging.ERROR):
        session, plain = Session(GRAMMAR), Session(GRAMMAR)
        heard = told(session, "On the right,", BAD, "hip flexion four", "grip five")
    told(plain, "On the right,", "hip flexion four", "grip five")
    record = session.record()
    assert rows(record) == rows(plain.record())
    assert [u.kind for u in record.utterances] == ["command", "remark", "finding", "finding"]
    assert [u.text for u in record.utterances][1] == BAD
    assert (heard[1].kind, heard[1].added, heard[1].asked) == ("remark", (), ())
    assert record.notices == (heard[1].trouble,) and "u2" in record.notices[0]
    assert "IndexError" in caplog.text and "neglect" not in caplog.text + record.notices[0]
    assert "test_faults.py" not in caplog.text  # a line of the program, not of who called it
    for name in ("note", "markdown", "record"):
        assert RENDERERS[name].function(record, GRAMMAR)


def test_what_was_answered_and_noticed_before_it_stays(failing):
    session = Session(GRAMMAR)
    told(session, "deltoid four out of five", "left grip five")
    session.notice("the sound is cut off")
    session.answer(session.record().questions[0].id, "right")
    session.command(Utterance("u3", "what is missing"))
    before = session.record()
    session.hear(Utterance("u4", BAD))
    after = session.record()
    assert (after.findings, after.history) == (before.findings, before.history)
    assert after.utterances[:-1] == before.utterances
    assert after.notices[0] == before.notices[0] and len(after.notices) == 2


@pytest.mark.parametrize("before", [1, guard.COPY_EVERY - 1, guard.COPY_EVERY, 130])
def test_it_may_come_at_any_time_of_a_long_text(failing, before):
    """Also where the last copy of the narration is some utterances back."""
    session, plain = Session(GRAMMAR), Session(GRAMMAR)
    for n in range(before):
        for one in (session, plain):
            one.take(Utterance(f"u{n}", f"{('right', 'left')[n % 2]} biceps {n % 5 + 1} of five"))
    assert session.take(Utterance("bad", BAD)) == "remark"
    for one in (session, plain):
        one.take(Utterance("end", "and on the other side"))
    assert rows(session.record()) == rows(plain.record())
    assert session.record().questions == plain.record().questions
    assert len(session.record().utterances) == before + 2


def test_two_that_cannot_be_read(failing):
    session = Session(GRAMMAR)
    told(session, BAD, BAD, "left grip five")
    assert rows(session.record()) == [("strength", "grip", "left", "5")]
    assert len(session.record().notices) == 2


def test_a_preview_that_fails_changes_nothing(failing):
    session = Session(GRAMMAR)
    told(session, "left grip five")
    before = session.record()
    shown = session.preview(Utterance("u2", BAD))
    assert shown.trouble and not shown.added
    assert session.record() == before


def test_an_answer_that_fails_is_no_answer(monkeypatch):
    from dictate import session as module

    def broken(resolver, question, words):
        resolver.pending.clear()
        raise KeyError(words)

    session = Session(GRAMMAR)
    told(session, "deltoid four out of five")
    before = session.record()
    monkeypatch.setattr(module, "answer", broken)
    with pytest.raises(UsageError, match="fault in the program"):
        session.answer(before.questions[0].id, "right")
    assert session.record() == before


# ---- in the loop


class Script:
    """Hears one line a second, or fails as the script says."""

    speaking, silent_s = False, 9.0

    def __init__(self, timed, *lines):
        self.notices, self._lines, self._timed = [], list(lines), timed

    def take(self, chunk):
        if not self._lines:
            return Outcome()
        line = self._lines.pop(0)
        if isinstance(line, Exception):
            raise line
        utterance = self._timed(line, chunk.start_s)
        return Outcome(done=[utterance]) if line else Outcome()

    def pass_by(self, chunk):
        pass

    def end(self):
        return Outcome()


class Notes:
    def __init__(self):
        self.events = []

    def take(self, event, session):
        self.events.append(event)

    def of(self, kind):
        return [event for event in self.events if isinstance(event, kind)]


@pytest.fixture
def dictate(tmp_path, timed):
    def run(*lines, asker=None, observer=None):
        session, notes = Session(GRAMMAR), Notes()
        journal = Journal(tmp_path / "journal.jsonl")
        journal.write("started", format=1)
        hearing = Script(timed, *lines)
        asks = asker or Asker(None, None, session, "screen")
        loop = Loop(session, hearing, journal, asks, (*([observer] if observer else []), notes))
        loop.begin()
        for second in range(len(lines) + 1):
            loop.take(AudioChunk(bytes(32000), float(second)))
        loop.end_sound()
        journal.close()
        return session, notes, read_journal(tmp_path / "journal.jsonl")

    return run


AFTER = "right grip four"
FOUND = [("strength", "grip", "right", "4")]


def test_the_dictation_goes_on_after_a_fault_of_the_reader(dictate, failing):
    session, notes, journal = dictate(BAD, AFTER)
    assert rows(session.record()) == FOUND
    assert [e.heard.kind for e in notes.of(HeardUtterance)] == ["remark", "finding"]
    assert [t.sentence for t in notes.of(Trouble)] == list(session.record().notices)
    assert [e["utterance"]["text"] for e in journal.events if e["event"] == "utterance"] == [
        BAD, AFTER,
    ]  # fmt: skip
    past = replay(journal, Session(GRAMMAR))
    assert past.session.record() == session.record() and past.differs == 0


def test_the_dictation_goes_on_after_a_fault_of_the_listeners(dictate):
    session, notes, journal = dictate(IndexError("left neglect"), AFTER)
    assert rows(session.record()) == FOUND
    (notice,) = session.record().notices
    assert "IndexError" in notice and "neglect" not in notice
    assert notes.of(Trouble) == [Trouble(notice)]
    assert replay(journal, Session(GRAMMAR)).session.record() == session.record()


def test_what_cannot_be_told_from_its_own_voice_is_put_aside(dictate, monkeypatch):
    from dictate.listen import asking

    whole = asking.without_own_voice

    def broken(utterance, spoken):
        if utterance.text == BAD:
            raise ValueError(utterance.text)
        return whole(utterance, spoken)

    monkeypatch.setattr(asking, "without_own_voice", broken)
    session, _, journal = dictate(BAD, AFTER)
    assert rows(session.record()) == FOUND
    assert "00:00" in session.record().notices[0]
    aside = [e for e in journal.events if e["event"] == "aside"]
    assert [(e["why"], e["utterance"]["text"]) for e in aside] == [("fault", BAD)]
    assert replay(journal, Session(GRAMMAR)).session.record() == session.record()


def test_an_observer_that_fails_is_a_line_of_the_journal(dictate):
    class Broken:
        def take(self, event, session):
            raise TypeError("left neglect")

    session, notes, journal = dictate(AFTER, observer=Broken())
    assert rows(session.record()) == FOUND and notes.of(HeardUtterance)
    sentences = [e["sentence"] for e in journal.events if e["event"] == "trouble"]
    assert any("TypeError" in sentence for sentence in sentences)
    assert not any("neglect" in sentence for sentence in sentences)


def test_a_preview_is_left_out_where_it_fails(dictate, failing, monkeypatch):
    monkeypatch.setattr(
        Script, "take",
        lambda self, chunk: Outcome(paused=self._timed(self._lines.pop(0), 0.0))
        if self._lines else Outcome(),
    )  # fmt: skip
    session, notes, _ = dictate(BAD, AFTER)
    assert [e.utterance.text for e in notes.of(Preview)] == [AFTER]
    assert not notes.of(Trouble) and not session.record().notices
