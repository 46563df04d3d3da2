"""The loop of a dictation: sound and key presses in, events out; nothing here knows a device.

What is heard goes first through the asker (its own voice, answers, requests), then to the
session, then to the journal, and only then to the observers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from dictate.audio.source import AudioChunk
from dictate.faults import note_fault
from dictate.journal.writing import Lines
from dictate.listen.asking import Answer, Asks
from dictate.listen.ears import Ears
from dictate.listen.events import (
    Answered,
    ByHand,
    HeardUtterance,
    Mode,
    Observer,
    Partial,
    Preview,
    Request,
    State,
    Why,
)
from dictate.listen.hearing import Hearing, Outcome
from dictate.listen.own_voice import SpokenSentence, without_own_voice
from dictate.listen.requests import request_of
from dictate.listen.switch import Switch
from dictate.listen.telling import LEVEL_EVERY_S, Telling
from dictate.model import Utterance
from dictate.resolve.by_hand import Cited
from dictate.session import Heard, Session

#: Requests that turn listening off and on.
_OFF: dict[str, Why] = {"pause": "pause", "close": "phrase"}
_ON: dict[str, Why] = {"go_on": "pause", "open": "phrase"}


@dataclass(frozen=True, slots=True)
class Beginning:
    """Where a loop takes up: nothing yet, or what an earlier one left.

    Attributes:
        listening: Whether it listens; None where the mode says so.
        utterances: How many utterances the session has.
        asides: How many were left out of it.
        read_to_s: Up to where the sound has been read.
    """

    listening: bool | None = None
    utterances: int = 0
    asides: int = 0
    read_to_s: float = 0.0


class Loop:
    """One dictation.

    Attributes:
        over: The examiner is done, and every question has been put once more.
    """

    def __init__(
        self,
        session: Session,
        hearing: Hearing,
        journal: Lines,
        asker: Asks,
        observers: Sequence[Observer] = (),
        mode: Mode = "always",
        beginning: Beginning | None = None,
        handed: Callable[[], Sequence[Heard]] = tuple,
    ) -> None:
        """Put a dictation together; ``begin`` starts it.

        Args:
            session: What understands.
            hearing: What turns sound into utterances.
            journal: What remembers.
            asker: What asks.
            observers: Who is told, after the asker.
            mode: When the examiner is listened to.
            beginning: Where it takes up.
            handed: Carries out what other programs have handed over; what each of it changed.
        """
        self._handed = handed
        self.session, self._journal, self._asker = session, journal, asker
        self._telling = Telling(session, journal, (asker, *observers))
        self._tell = self._telling.tell
        #: Something outside goes wrong or is well again: one sentence.
        self.trouble = self._telling.trouble
        self._ears = Ears(hearing, self._telling)
        start = beginning or Beginning()
        self._switch = Switch(mode, start.listening)
        self._count, self._asides, self._read_to_s = (
            start.utterances, start.asides, start.read_to_s,
        )  # fmt: skip
        self.now_s = start.read_to_s
        self._spoken: tuple[SpokenSentence, ...] = ()
        self._put: str | None = None
        self._finishing = self.over = False

    # ---- what comes in

    def begin(self) -> None:
        """Say what is on."""
        self._tell_state("start")
        self._ears.tell_notices()

    def take(self, chunk: AudioChunk) -> None:
        """Take the next sound."""
        self.now_s = chunk.end_s
        self._telling.level(chunk)
        self._mind_key()
        self._digest(self._ears.take(chunk, self._switch.wants(self.now_s)))
        self._ask()
        if self._finishing and not self._asker.busy and not self._ears.speaking:
            self.over = True

    def press(self) -> None:
        """A key or pedal was pressed; it means something only in that mode."""
        self._switch.press(self.now_s)
        self._mind_key()

    def switch(self, on: bool) -> None:
        """What the key said at this moment of a sound that is read again."""
        self._switch.set_key(on)
        self._mind_key()

    @property
    def notices(self) -> list[str]:
        """What the reader of the record must know of how it was heard; it is recorded."""
        return self._ears.notices

    @property
    def stands(self) -> Beginning:
        """Where another loop would take up."""
        return Beginning(self._switch.on, self._count, self._asides, self._read_to_s)

    def look_after(self) -> None:
        """Try again to bring to disk what waits; to be called when nothing comes in, too."""
        if self._journal.waiting:
            self._journal.flush()
        self._telling.mind_journal()
        for heard in self._handed():
            self._tell(ByHand(heard))

    def end_sound(self) -> None:
        """There is no more sound: hand on what is left of it."""
        self._digest(self._ears.end())

    # ---- hearing

    def _digest(self, outcome: Outcome) -> None:
        if outcome.words is not None and (self._switch.on or not outcome.words):
            self._tell(Partial(outcome.words))
        for utterance in outcome.done:
            read_to_s = utterance.end or 0.0
            if utterance is outcome.done[-1]:
                read_to_s = max(read_to_s, outcome.read_to_s)
            self._read_to_s = max(self._read_to_s, read_to_s)
            self._sort(utterance)
        if outcome.paused is not None and not outcome.done:
            self._preview(outcome.paused)
        self._ears.tell_notices()

    def _sort(self, heard: Utterance) -> None:
        """An utterance is complete: whose is it, and what is it?

        Where the program fails to tell, it may be the tool's own voice: it is put aside.
        """
        utterance = replace(heard, id=f"u{self._count + 1}")
        try:
            found = self._whose(utterance)
        except Exception as fault:
            self._aside(heard, "fault")
            self._ears.lost(note_fault(fault), utterance.start)
            return
        if isinstance(found, str):
            self._aside(heard, found)
        elif isinstance(found, Answer):
            self._answered(found)
        elif isinstance(found, Request):
            self._request(found)
        else:
            self._statement(found)

    def _whose(self, utterance: Utterance) -> Utterance | Answer | Request | str:
        """What it is, or why it is put aside."""
        if self._switch.listened_to(utterance):
            return self._asker.sort(utterance) or "own voice"
        rest = without_own_voice(utterance, self._asker.spoken)
        request = request_of(rest, self.session.grammar, False) if rest else None
        if request is not None and request.kind in {*_ON, "finish"}:
            return request
        return "own voice" if rest is None else "not listening"

    def _statement(self, utterance: Utterance) -> None:
        utterance = self.session.settle(utterance)
        heard = self.session.hear(utterance)
        self._count += 1
        self._write("utterance", utterance=utterance, **_plain(heard))
        self._tell(HeardUtterance(utterance, heard))
        if heard.trouble:
            self.trouble(heard.trouble)

    def _answered(self, answer: Answer) -> None:
        """An answer, which the session has taken and listed; or one that was not understood."""
        if answer.heard is None:
            self.session.command(answer.utterance)
        self._count += 1
        changes: dict[str, object] = {}
        if answer.heard is not None:
            changes = {**_plain(answer.heard), "cites": True, "about": self._cited(answer)}
        self._write(
            "answer", question=answer.question_id, words=answer.words,
            utterance=answer.utterance, **changes,
        )  # fmt: skip
        if answer.heard is not None:
            self._tell(Answered(answer.question_id, answer.words, answer.heard))

    def _cited(self, answer: Answer) -> tuple[Cited, ...]:
        """The words that the question was about, by which it is found again in a new reading."""
        known = [*(answer.heard.settled if answer.heard else ()), *self.session.record().questions]
        about = next((q.about for q in known if q.id == answer.question_id), ())
        return self.session.cited(about)

    def _request(self, request: Request) -> None:
        self.session.command(request.utterance)
        self._count += 1
        self._write("request", kind=request.kind, utterance=request.utterance)
        self._tell(request)
        if request.kind in _OFF:
            self._listen(False, _OFF[request.kind])
        elif request.kind in _ON:
            self._listen(True, _ON[request.kind])
        elif request.kind == "finish":
            self._finishing = True
            self._asker.ask_the_rest()

    def _aside(self, utterance: Utterance, why: str) -> None:
        self._asides += 1
        self._write("aside", why=why, utterance=replace(utterance, id=f"a{self._asides}"))

    def _preview(self, so_far: Utterance) -> None:
        """What was said so far, if it ends here; not for the tool's own voice or a request."""
        if not self._switch.listened_to(so_far):
            return
        try:
            rest = without_own_voice(so_far, self._asker.spoken)
            asked = self._asker.question_put is not None
            if rest is None or request_of(rest, self.session.grammar, asked):
                return
        except Exception as fault:
            note_fault(fault)
            return
        utterance = self.session.settle(replace(rest, id=f"u{self._count + 1}"))
        heard = self.session.preview(utterance)
        if heard.trouble:
            return  # told once it is complete, if it still cannot be read
        self._journal.write("preview", utterance=utterance, **_plain(heard))
        self._tell(Preview(utterance, heard))

    # ---- what is on

    def _mind_key(self) -> None:
        turns = self._switch.key_turns(self.now_s)
        if turns is not None:
            self._listen(turns, "key")
        if self._switch.run_out(self.now_s):
            if not self._switch.on:
                self.end_sound()
            self._switch.forget()

    def _listen(self, on: bool, why: Why) -> None:
        if on != self._switch.on:
            self._switch.turn(on, self.now_s)
            self._tell_state(why)

    def _tell_state(self, why: Why) -> None:
        mode, on = self._switch.mode, self._switch.on
        self._journal.write("state", mode=mode, listening=on, why=why, at_s=round(self.now_s, 3))
        self._tell(State(mode, on, why))

    # ---- asking

    def _ask(self) -> None:
        speech = self._ears.silent_s < LEVEL_EVERY_S
        self._asker.tick(self.now_s, speech, self._ears.silent_s)
        put = self._asker.question_put
        if (put.id if put is not None else None) != self._put:
            self._put = put.id if put is not None else None
            self._journal.write("asked", question=self._put, at_s=round(self.now_s, 3))
        if self._asker.spoken != self._spoken:
            self._spoken = self._asker.spoken
            self._journal.write("spoke", sentence=self._spoken[-1])

    def _write(self, event: str, utterance: Utterance | None = None, **values: object) -> None:
        """A line of the journal; other ways to hear an utterance are of no use in it."""
        if utterance is not None:
            values["utterance"] = replace(utterance, readings=())
        self._journal.write(event, read_to_s=round(self._read_to_s, 3), **values)


def _plain(heard: Heard) -> dict[str, object]:
    return {
        "kind": heard.kind, "added": heard.added, "removed": heard.removed,
        "asked": heard.asked, "settled": heard.settled,
    }  # fmt: skip
