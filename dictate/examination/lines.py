"""The journal for a program that tells the session itself what it hears, as it is heard."""

from __future__ import annotations

import threading
from typing import Any

from dictate.examination.fold import Fold
from dictate.journal.writing import Journal


class NotedJournal:
    """Writes lines, and lets the examination know them; the session has followed them already."""

    def __init__(self, journal: Journal, fold: Fold, turn: threading.RLock) -> None:
        """Write to a journal that is open.

        Args:
            journal: Where to.
            fold: What is to know of it.
            turn: Held while it does.
        """
        self._journal, self._fold, self._turn = journal, fold, turn

    @property
    def next_number(self) -> int:
        """The number that the next line will have."""
        return self._journal.next_number

    @property
    def waiting(self) -> int:
        """How many lines are not on disk yet."""
        return self._journal.waiting

    @property
    def fault(self) -> str:
        """Why lines are waiting; empty where all is on disk."""
        return self._journal.fault

    def write(self, event: str, **values: object) -> dict[str, Any]:
        """Write an event (see ``Journal.write``)."""
        with self._turn:
            line = self._journal.write(event, **values)
            self._fold.note(line)
            return line

    def write_later(self, event: str, **values: object) -> dict[str, Any]:
        """Write an event of many (see ``Journal.write_later``)."""
        with self._turn:
            line = self._journal.write_later(event, **values)
            self._fold.note(line)
            return line

    def flush(self) -> None:
        """Try to bring to disk what waits."""
        self._journal.flush()
