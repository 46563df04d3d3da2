"""A dictation goes on, and somebody corrects and answers in another program: nothing is lost."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import UsageError
from dictate.examination import Examination
from dictate.examination.handing import HANDED_NAME, hand_over
from dictate.journal.lock import FileLock
from dictate.journal.writing import JOURNAL_NAME
from dictate.listen.asking import Asker
from dictate.listen.events import Answered, ByHand, HeardUtterance
from dictate.listen.hearing import Outcome
from dictate.listen.loop import Loop
from dictate.listen.past import past_of
from dictate.session import Session

BLOCK = bytes(1600)


class Scripted:
    """Hears each text at its second."""

    notices: list[str] = []  # noqa: RUF012 - never added to

    def __init__(self, script, timed):
        self._script, self._timed = sorted(script), timed
        self.now_s, self.last_s = 0.0, -9.0

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
            said = self._timed(text, at_s)
            self.last_s = self.now_s
            out.words, out.done, out.read_to_s = "", [said], said.end
        return out

    def end(self):
        return Outcome()


class Notes:
    def __init__(self):
        self.events = []

    def take(self, event, session):
        self.events.append(event)


class Bedside:
    """A dictation without sound, and whoever reads along."""

    def __init__(self, folder, script, timed):
        session = Session()
        self.mine = Examination.create(folder, "listen", session=session)
        self.notes = Notes()
        self.loop = Loop(
            session, Scripted(script, timed), self.mine.lines,
            Asker(None, None, session, "screen"), (self.notes,), handed=self.mine.take_handed,
        )  # fmt: skip
        self.loop.begin()
        self.at = 0
        self.theirs = Examination.open(folder)

    def run(self, until_s: float) -> None:
        while self.at < until_s * 20:
            self.loop.take(AudioChunk(BLOCK, self.at / 20))
            self.loop.look_after()
            self.at += 1

    def hand(self, deed: Callable[[Examination], object]) -> object:
        """Do something in the other program, while the dictation goes on."""
        result: list[object] = []

        def do() -> None:
            try:
                result.append(deed(self.theirs))
            except UsageError as fault:
                result.append(fault)

        thread = threading.Thread(target=do)
        thread.start()
        while thread.is_alive():
            self.run(self.at / 20 + 0.05)
            thread.join(0.01)
        return result[0]


@pytest.fixture
def bedside(tmp_path, timed):
    def begun(*script):
        return Bedside(tmp_path / "dictation", script, timed)

    return begun


def rows(record):
    return [(f.site, f.side, f.value) for f in record.findings]


def test_a_correction_reaches_the_dictation_and_what_is_said_after_it(bedside):
    x = bedside((1.0, "right biceps four out of five"), (60.0, "no make that three"))
    x.run(3)
    x.theirs.follow()
    heard = x.hand(lambda e: e.correct("u1", "left biceps four out of five"))
    assert [(f.site, f.side) for f in heard.added] == [("biceps", "left")]
    assert rows(x.loop.session.record()) == [("biceps", "left", "4")]
    assert [e.heard.added for e in x.notes.events if isinstance(e, ByHand)] == [heard.added]
    x.run(63)
    assert rows(x.loop.session.record()) == [("biceps", "left", "3")]
    x.theirs.follow()
    assert x.theirs.live() == x.mine.live()


def test_a_question_answered_elsewhere_is_not_asked_any_more(bedside):
    x = bedside((1.0, "knee jerk three plus"), (9.0, "left"))
    x.run(4)
    asker = x.loop._asker
    assert asker.question_put is not None and asker.question_put.kind == "side"
    x.theirs.follow()
    question = x.theirs.live().questions[0]
    x.hand(lambda e: e.answer(question.id, "right"))
    assert asker.question_put is None
    x.run(12)
    assert not [e for e in x.notes.events if isinstance(e, Answered)]
    assert rows(x.loop.session.record()) == [("knee", "right", "3+")]


def test_an_answer_that_is_spoken_after_questions_were_numbered_anew_is_for_its_own(bedside):
    x = bedside(
        (1.0, "deltoid four plus"), (3.0, "gait ataxic"), (4.0, "knee jerk three plus"),
        (60.0, "the note is complete"), (63.0, "left"),
    )  # fmt: skip
    x.run(5)
    x.theirs.follow()
    x.hand(lambda e: e.correct("u1", "right deltoid four plus"))
    x.run(66)
    assert sorted(rows(x.loop.session.record()), key=str) == [
        ("deltoid", "right", "4+"), ("knee", "left", "3+"), (None, None, "ataxic"),
    ]  # fmt: skip
    again = Examination.open(x.mine.folder, write=False)
    assert again.live() == x.mine.live()


def test_what_is_refused_is_said_to_who_handed_it_over(bedside):
    x = bedside((1.0, "right biceps four out of five"))
    x.run(3)
    x.theirs.follow()
    fault = x.hand(lambda e: e.correct("u9", "left"))
    assert isinstance(fault, UsageError) and "u9" in str(fault)
    with pytest.raises(UsageError, match="'dictate listen' is writing"):
        x.theirs.sign("A. Example")
    assert rows(x.loop.session.record()) == [("biceps", "right", "4")]


def test_two_others_and_the_dictation_lose_no_event(bedside):
    x = bedside(*((2.0 + i, f"right deltoid strength {'345'[i % 3]}") for i in range(8)))
    others = [x.theirs, Examination.open(x.mine.folder)]
    done: list[str] = []

    def work(e: Examination, word: str) -> None:
        for number in range(10):
            e.type(f"he keeps {word} {number}")
            done.append(f"he keeps {word} {number}")

    threads = [
        threading.Thread(target=work, args=pair)
        for pair in zip(others, ("bees", "owls"), strict=True)
    ]  # fmt: skip
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        x.run(x.at / 20 + 0.05)
        threads[0].join(0.005)
    x.run(max(12, x.at / 20))
    assert len(done) == 20
    typed = [u.text for u in x.mine.live().utterances if u.hand == "added"]
    assert sorted(typed) == sorted(done)
    assert len([e for e in x.notes.events if isinstance(e, HeardUtterance)]) == 8
    lines = (x.mine.folder / JOURNAL_NAME).read_text().splitlines()
    assert [json.loads(line)["n"] for line in lines] == list(range(1, len(lines) + 1))
    for other in others:
        other.follow()
        assert other.live() == x.mine.live()


def test_what_was_handed_over_is_not_lost_where_the_dictation_is_killed(bedside):
    x = bedside((1.0, "right biceps four out of five"))
    x.run(3)
    folder = x.mine.folder
    identity = hand_over(folder, FileLock(folder / JOURNAL_NAME), "type", {"text": "gait ataxic"})
    assert identity is not None
    x.mine._lock.release()  # as the system does when a process is killed
    with Examination.open(folder) as later:
        assert rows(later.live()) == [("biceps", "right", "4"), (None, None, "ataxic")]
        assert [e for e in later.events() if e.get("handed") == identity]
    assert not (folder / HANDED_NAME).exists()
    with Examination.open(folder) as again:
        assert len(again.live().findings) == 2


def test_where_the_dictation_ends_the_other_one_goes_on(bedside):
    x = bedside((1.0, "right biceps four out of five"))
    x.run(3)
    x.mine.close()
    x.theirs.type("gait ataxic")
    assert x.theirs.writes and rows(x.theirs.live())[-1] == (None, None, "ataxic")


def test_a_dictation_that_is_taken_up_has_what_was_done_by_hand(bedside):
    x = bedside((1.0, "knee jerk three plus"), (3.0, "right biceps four out of five"))
    x.run(5)
    x.theirs.follow()
    x.hand(lambda e: e.correct("u2", "right biceps three out of five"))
    x.hand(lambda e: e.answer("q1", "left"))
    expected, now = x.mine.live(), x.loop.stands
    x.mine.close()
    later = Examination.open(x.mine.folder, "listen", compare=True)
    past = past_of(later.fold)
    assert later.live() == expected
    # what was typed is no utterance of the dictation: its own go on with their numbers
    assert past.beginning.utterances == now.utterances == 2
    assert past.differs == 0
