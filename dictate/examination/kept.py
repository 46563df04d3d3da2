"""What keeps an examination: its lines written and followed, the turn of each thread."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from dictate import __version__
from dictate.errors import StorageError, UsageError
from dictate.examination.deeds import Deed, Deeds
from dictate.examination.facts import facts_of
from dictate.examination.fold import FAULTS, Fold
from dictate.examination.handing import Handed
from dictate.examination.steps import CHANGES, Data
from dictate.journal.lock import FileLock
from dictate.journal.plain import to_plain
from dictate.journal.reading import Tail
from dictate.journal.writing import FORMAT, JOURNAL_NAME, Journal
from dictate.model import Examined, Record
from dictate.session import Heard, difference


class Kept:
    """An examination and its journal.

    Attributes:
        folder: Where it is.
        grammar: Whose words count in it.
        held_by: The program that writes to it where this one may not ("listen", "review").
    """

    def __init__(self, folder: Path, fold: Fold, lock: FileLock, tail: Tail, program: str) -> None:
        """Keep what was read.

        Args:
            folder: Of the examination.
            fold: What its lines have come to.
            lock: The right to write, perhaps held.
            tail: Follows the lines of another program.
            program: What this program is called.
        """
        self.folder, self.grammar = folder, fold.grammar
        self.held_by = ""
        self._program = program
        self._fold, self._lock, self._tail = fold, lock, tail
        self._journal: Journal | None = None
        self._handed = Handed(folder)
        self._waiting: deque[Data] = deque()
        self._unseen: list[Data] = []
        self._turn = threading.RLock()

    @property
    def writes(self) -> bool:
        """Whether this program writes to it."""
        return self._journal is not None

    @property
    def version(self) -> int:
        """The number of the last line of the journal that is known: it grows with every change."""
        events = self._fold.events  # no turn is waited for: who asks must not wait for a long deed
        return int(events[-1]["n"]) if events else 0

    def events(self, after: int = 0) -> list[Data]:
        """The lines of the journal after a number, as they are (``DEVELOPERS.md``)."""
        with self._turn:
            return [event for event in self._fold.events if event["n"] > after]

    def follow(self) -> list[Data]:
        """Take what another program has written since the last look.

        Returns:
            The new lines of the journal; none where this program is the writer.

        Raises:
            InputError: The other program wrote what this one does not know.
        """
        with self._turn:
            self._look()
            new, self._unseen = self._unseen, []
            return new

    # ---- inside

    def _with_facts(self, fold: Fold) -> Record:
        facts = facts_of(fold.events)
        return replace(
            fold.record(), examined=Examined(facts.patient, facts.at, facts.sound_sha256)
        )

    def _until(self, number: int) -> Record:
        """The record as it was before a line."""
        fold = Fold(self.grammar)
        fold.load([line for line in self._fold.events if line["n"] < number])
        return self._with_facts(fold)

    def _begin_writing(self, notices: Sequence[str] = ()) -> None:
        """This program holds the lock and knows every line."""
        self._journal = Journal(self.folder / JOURNAL_NAME, self.version + 1)
        self.held_by = ""
        self._write("opened", format=FORMAT, version=__version__, program=self._program)
        known = self._fold.record().notices
        for sentence in notices:
            if sentence not in known:
                self._write("notice", sentence=sentence)
        self._take_left()

    def _look(self) -> None:
        if self._journal is None:
            for event in self._tail.more():
                self._fold.take(event)
                self._unseen.append(event)

    def _may_write(self) -> Journal:
        if self._journal is None:
            who = f"'dictate {self.held_by}'" if self.held_by else "Nobody"
            raise UsageError(f"{who} is writing to this examination. Close it there first.")
        return self._journal

    def _write(self, event: str, handed: str = "", **values: object) -> Data:
        """Write a line and follow it; a line that is not on disk is no line."""
        journal = self._may_write()
        plain = {name: to_plain(value) for name, value in values.items()}
        twin = self._fold.twin()
        twin.follow({"n": journal.next_number, "at": "", "event": event, **plain})
        return self._keep(twin, journal, event, plain, handed)

    def _decide(self, deed: Deed, handed: str = "") -> Heard:
        """Follow a deed on a twin, and write it with what it changed."""
        journal = self._may_write()
        plain = {name: to_plain(value) for name, value in deed.values.items()}
        before, twin = self._fold.record(), self._fold.twin()
        try:
            twin.follow(
                {"n": journal.next_number, "at": "", "event": deed.event, **plain}, strict=True
            )
        except UsageError:
            raise
        except FAULTS as fault:
            raise UsageError(f"That cannot be followed ({fault}).") from None
        heard = difference(before, twin.record())
        for name in CHANGES:
            plain[name] = to_plain(getattr(heard, name))
        if deed.event == "utterance":
            plain["kind"] = twin.record().utterances[-1].kind
        self._keep(twin, journal, deed.event, plain, handed)
        return heard

    def _keep(self, twin: Fold, journal: Journal, event: str, plain: Data, handed: str) -> Data:
        mark = {"handed": handed} if handed else {}
        line = journal.write(event, **plain, **mark)
        if journal.fault and journal.withdraw():
            raise StorageError(
                f"It is not on disk: {journal.fault}. Make room, and do it again; nothing was "
                "changed."
            )
        twin.events[-1].update(line)
        self._fold.become(twin)
        return line

    def _deeds(self) -> Deeds:
        return Deeds(self._fold, self._may_write().next_number)

    def _take_left(self) -> None:
        """Carry out what was handed over and not taken."""
