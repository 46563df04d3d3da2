"""A dictation from its start to its outputs: the parts put together, in a folder on disk."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from dictate.audio.keep import repair_recording
from dictate.audio.keep_on import KeptOnSource
from dictate.audio.levels import LevelMeter
from dictate.audio.source import AudioSource
from dictate.errors import DictateError, InputError, StorageError, UsageError
from dictate.examination import Examination
from dictate.examination.lines import NotedJournal
from dictate.journal.reading import read_journal
from dictate.listen.asking import Asks
from dictate.listen.events import Finished, Mode, Observer
from dictate.listen.folder import SOUND_NAME, DictationFolder
from dictate.listen.hearing import Hearing
from dictate.listen.inbox import Inbox
from dictate.listen.loop import Beginning, Loop
from dictate.listen.past import Past, PastAsker, past_of
from dictate.listen.played import kept_blocks, kept_s
from dictate.outputs import keep_current
from dictate.recognise.listening import LiveRecogniser
from dictate.session import Session


class LiveSource(AudioSource, Protocol):
    """A source that can be told to stop."""

    def stop(self) -> None:
        """Let the chunks end soon; from any thread."""
        ...


class Dictation:
    """One dictation in its folder: begun, or taken up again."""

    def __init__(
        self, folder: Path, session: Session, recogniser: LiveRecogniser, mode: Mode = "always"
    ) -> None:
        """Prepare; nothing is on disk before ``begin`` or ``take_up``.

        Args:
            folder: Where its files are.
            session: What understands; a new one.
            recogniser: What turns sound into utterances.
            mode: When the examiner is listened to.
        """
        self.folder, self.session = DictationFolder(folder), session
        self.inbox = Inbox()
        self._recogniser, self._mode = recogniser, mode
        self._examination: Examination | None = None
        self._beginning = Beginning()
        self.loop: Loop | None = None

    @property
    def sound_s(self) -> float:
        """How much sound is kept: where a new source begins, in seconds."""
        return kept_s(self.folder.sound)

    @property
    def now_s(self) -> float:
        """How far the dictation is, in seconds of its sound."""
        return self.loop.now_s if self.loop is not None else 0.0

    def begin(self, grammar: Path | None = None, patient: str = "") -> None:
        """Make the folder and begin the journal.

        Args:
            grammar: The folder of grammar files, where it is not the program's own.
            patient: Who is examined; left out, a random id.

        Raises:
            UsageError: There is a dictation in the folder.
            StorageError: It cannot be written.
        """
        self.folder.make()
        self._examination = Examination.create(
            self.folder.path, "listen", grammar, patient, mode=self._mode, sound=SOUND_NAME,
            session=self.session,
        )  # fmt: skip

    def take_up(self, observers: Sequence[Observer] = ()) -> Past:
        """Bring back what the journal has, then read the sound that it lacks.

        Args:
            observers: Told what is found in that sound.

        Returns:
            What the journal said.

        Raises:
            InputError: There is no dictation there, or it cannot be understood.
            UsageError: Another program writes to it, or it was made from a recording or a text.
            StorageError: It cannot be written.
        """
        examination = Examination.open(
            self.folder.path, "listen", session=self.session, compare=True
        )
        try:
            past = self._past(examination)
        except DictateError:
            examination.close()
            raise
        self._examination, self._mode = examination, past.mode
        self._lines.write("resumed", at_s=round(self.sound_s, 3))
        for sentence in _differs(past):
            self._notice(sentence)
        self._beginning = past.beginning
        if not past.ended:
            self._read_again(past, observers)
        return past

    def listen(
        self, source: LiveSource, asker: Asks, observers: Sequence[Observer], waits: bool
    ) -> None:
        """Listen until the examiner is done or ``inbox.stop`` is called.

        Args:
            source: Where the sound comes from, starting at ``sound_s``.
            asker: What asks.
            observers: Who is told.
            waits: The source may wait (a recording).

        Raises:
            DictateError: There was no sound at all; a folder with nothing in it is taken away.
        """
        assert self._examination is not None
        kept = KeptOnSource(
            source, self.folder.sound, self.inbox.trouble, go_on=self.folder.sound.exists()
        )
        meter = LevelMeter(kept)
        loop = self._loop(asker, observers, self._beginning)
        thread = self.inbox.bring(meter, waits)
        try:
            self.inbox.serve(loop, source.stop)
        except DictateError:
            self._examination.close()
            if not self._beginning.read_to_s:
                self.folder.discard()
            raise
        thread.join()
        loop.end_sound()
        self._beginning = loop.stands
        if self.inbox.heard_any:
            for sentence in meter.notices:
                self._notice(sentence)

    def finish(self, observers: Sequence[Observer] = ()) -> list[str]:
        """Write the outputs and end the journal.

        Returns:
            The names of the files.

        Raises:
            StorageError: They cannot be written; the journal and the sound stay as they are.
        """
        assert self._examination is not None
        lines = self._lines
        try:
            self._examination.take_handed()
            if self.folder.sound.exists():
                self._examination.keep_sound(SOUND_NAME)
            keep_current(self._examination, anew=True)
            names = sorted(self._examination.written)
            lines.write("ended", outputs=names)
        finally:
            self._examination.close()
        if lines.waiting:
            raise StorageError(
                f"The end of the journal is not on disk: {lines.fault}. "
                "The record and the note are written."
            )
        for observer in observers:
            observer.take(Finished(self.folder.path), self.session)
        return names

    def _loop(self, asker: Asks, observers: Sequence[Observer], beginning: Beginning) -> Loop:
        assert self._examination is not None
        hearing = Hearing(self._recogniser.start(), self._recogniser.start_preview())
        self.loop = Loop(
            self.session, hearing, self._lines, asker, observers, self._mode, beginning,
            self._examination.take_handed,
        )  # fmt: skip
        return self.loop

    def _read_again(self, past: Past, observers: Sequence[Observer]) -> None:
        """The sound after the last journalled utterance, with the key as it was then."""
        if not self.folder.sound.exists():
            return
        loop = self._loop(PastAsker(past), observers, past.beginning)
        switches = [s for s in past.switched if s[0] > past.beginning.read_to_s]
        for block in kept_blocks(self.folder.sound, past.beginning.read_to_s):
            while past.mode == "key" and switches and switches[0][0] <= block.start_s:
                loop.switch(switches.pop(0)[1])
            if loop.over:
                break
            loop.take(block)
        loop.end_sound()
        self._beginning = loop.stands

    def _notice(self, sentence: str) -> None:
        self.session.notice(sentence)
        self._lines.write("notice", sentence=sentence)

    @property
    def _lines(self) -> NotedJournal:
        assert self._examination is not None
        return self._examination.lines

    def _past(self, examination: Examination) -> Past:
        """Where it stood, if it is a dictation that this program may go on with."""
        if not examination.writes:
            raise UsageError(
                f"'dictate {examination.held_by}' is writing to {self.folder.path}. "
                "Close it there first."
            )
        if examination.facts.program != "listen":
            raise UsageError(
                f"{self.folder.path} was made from a recording or a text, and no microphone "
                f"was there to go on with. Open it by 'dictate review {self.folder.path}'."
            )
        if self.folder.sound.exists():
            repair_recording(self.folder.sound)
        return past_of(examination.fold)


def _differs(past: Past) -> list[str]:
    if not past.differs:
        return []
    return [
        f"{past.differs} utterances are understood otherwise than when they were spoken: "
        "the program or its grammar has changed; check the note"
    ]


def grammar_of(folder: Path) -> Path | None:
    """The grammar folder that a dictation was begun with; None for the program's own.

    Raises:
        InputError: There is no journal.
    """
    events = read_journal(DictationFolder(folder).journal).events
    if events[0]["event"] != "started":
        raise InputError(f"The journal in {folder} does not begin with a start. Check the folder.")
    named = events[0].get("grammar")
    return Path(named) if isinstance(named, str) else None
