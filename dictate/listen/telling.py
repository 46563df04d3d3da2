"""What happened is journalled first, then told: nothing is shown that a crash would take away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from dictate.audio.levels import level_dbfs
from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk
from dictate.errors import DictateError
from dictate.faults import note_fault
from dictate.listen.events import Event, Level, Observer, Trouble
from dictate.session import Session

#: How often the level is told (seconds of sound).
LEVEL_EVERY_S = 0.25
_LEVEL_BYTES = int(LEVEL_EVERY_S * RATE_HZ) * SAMPLE_BYTES


class Journals(Protocol):
    """What remembers: a journal, or what writes into one."""

    @property
    def fault(self) -> str: ...
    def write(self, event: str, **values: object) -> object: ...


class Telling:
    """Hands events to the observers; says when the journal cannot be written, and when it can."""

    def __init__(self, session: Session, journal: Journals, observers: Sequence[Observer]) -> None:
        """Tell nothing yet.

        Args:
            session: What the observers may read.
            journal: What remembers; its own faults are told.
            observers: Who is told, in this order.
        """
        self._session, self._journal, self._observers = session, journal, tuple(observers)
        self._journal_fault = ""
        self._level = bytearray()

    def tell(self, event: Event) -> None:
        """Tell every observer; one that fails stops no dictation and is a line of the journal."""
        for observer in self._observers:
            try:
                observer.take(event, self._session)
            except DictateError as fault:
                self._journal.write("trouble", sentence=str(fault))
            except Exception as fault:
                self._journal.write("trouble", sentence=f"A fault: {note_fault(fault)}.")
        if not isinstance(event, Trouble):
            self.mind_journal()

    def trouble(self, sentence: str) -> None:
        """Something goes wrong or is well again: journalled and told."""
        self._journal.write("trouble", sentence=sentence)
        self.tell(Trouble(sentence))

    def notice(self, sentence: str) -> None:
        """Something that the reader of the record must know: recorded, journalled and told.

        At once, since a dictation that is broken off later must still say it.
        """
        if sentence not in self._session.record().notices:
            self._session.notice(sentence)
            self._journal.write("notice", sentence=sentence)
        self.tell(Trouble(sentence))

    def mind_journal(self) -> None:
        """Say it once when the journal cannot be written, and once when it can again."""
        fault = self._journal.fault
        if bool(fault) == bool(self._journal_fault):
            return
        self._journal_fault = fault
        if fault:
            self.trouble(
                f"The journal cannot be written: {fault}. Make room on the disk; dictation goes "
                "on, and what is heard is kept in memory until then."
            )
        else:
            self.trouble("The journal is written again; nothing is missing in it.")

    def level(self, chunk: AudioChunk) -> None:
        """Take the next sound, and tell now and then how loud it is."""
        self._level += chunk.samples
        if len(self._level) >= _LEVEL_BYTES:
            self.tell(Level(level_dbfs(np.frombuffer(bytes(self._level), "<i2").astype(np.int16))))
            self._level.clear()
