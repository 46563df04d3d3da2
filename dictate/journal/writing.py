"""Writes the journal: one line an event, on disk before the event is shown.

Where the disk refuses (full, or gone), dictation goes on: the lines wait in memory and are tried
again. The caller asks ``fault`` and says it.
"""

from __future__ import annotations

import json
import os
from collections import deque
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from dictate.errors import StorageError
from dictate.journal.plain import to_plain

#: Name of the journal in the folder of a dictation.
JOURNAL_NAME = "journal.jsonl"
#: The format that is written.
FORMAT = 2
#: Those that can be read; a reader that meets another number must not guess.
FORMATS = (1, 2)

#: So many lines of many are brought to disk together.
_TOGETHER = 256


class Lines(Protocol):
    """Whatever takes the lines of a journal."""

    @property
    def next_number(self) -> int: ...
    @property
    def waiting(self) -> int: ...
    @property
    def fault(self) -> str: ...
    def write(self, event: str, **values: object) -> dict[str, Any]: ...
    def flush(self) -> None: ...


class Journal:
    """A journal that is open for more lines."""

    def __init__(
        self, path: Path, first: int = 1, now: Callable[[], datetime] = lambda: datetime.now(UTC)
    ) -> None:
        """Open a journal.

        Args:
            path: A new file, or (where ``first`` is not 1) one that is continued.
            first: The number of the next line.
            now: The time of day.

        Raises:
            StorageError: It cannot be opened, or is there already.
        """
        self._path, self._number, self._now = path, first, now
        self._waiting: deque[bytes] = deque()
        #: Why lines are waiting, in the words of the system; empty where all is on disk.
        self.fault = ""
        exclusive = os.O_EXCL if first == 1 else 0
        try:
            self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | exclusive, 0o600)
            whole = first == 1 or _ends_whole(path)
        except OSError as error:
            raise StorageError(
                f"The journal {path} cannot be written: {error.strerror}. Choose another folder."
            ) from None
        self._torn = not whole

    @property
    def next_number(self) -> int:
        """The number that the next line will have."""
        return self._number

    @property
    def waiting(self) -> int:
        """How many lines are not on disk yet."""
        return len(self._waiting)

    def write(self, event: str, **values: object) -> dict[str, Any]:
        """Write an event; it is on disk on return, or ``fault`` says why not.

        Args:
            event: What happened, one of the names in DEVELOPERS.md.
            values: What belongs to it: plain values and shapes of ``dictate.model``.

        Returns:
            The line as it is read back.
        """
        entry = self._put(event, values)
        self.flush()
        return entry

    def write_later(self, event: str, **values: object) -> dict[str, Any]:
        """Write an event of many that count together: it is on disk after the next ``flush``.

        The arguments and what is returned are as for ``write``.
        """
        entry = self._put(event, values)
        if len(self._waiting) >= _TOGETHER:
            self.flush()
        return entry

    def _put(self, event: str, values: dict[str, object]) -> dict[str, Any]:
        at = self._now().isoformat(timespec="milliseconds")
        entry: dict[str, Any] = {"n": self._number, "at": at, "event": event}
        entry |= {name: to_plain(value) for name, value in values.items()}
        line = json.dumps(entry, ensure_ascii=False, allow_nan=False)
        self._waiting.append(line.encode("utf-8", "replace") + b"\n")
        self._number += 1
        return entry

    def withdraw(self) -> bool:
        """Forget the last line, if it is not on disk; a part of it may be, and is a torn line.

        For a change that its maker can make again: it was not acknowledged.

        Returns:
            Whether it was forgotten.
        """
        if not self._waiting:
            return False
        self._waiting.pop()
        self._number -= 1
        return True

    def flush(self) -> None:
        """Try to bring to disk what waits; whole lines only, in order."""
        try:
            while self._waiting:
                # a line that was cut off by a full disk is ended first, and written again whole
                self._write(b"\n" + self._waiting[0] if self._torn else self._waiting[0])
                self._torn = False
                self._waiting.popleft()
            os.fsync(self._file)
        except OSError as error:
            self.fault = error.strerror or "it cannot be written"
        else:
            self.fault = ""

    def close(self) -> None:
        """Write what waits, if that is possible, and close."""
        self.flush()
        os.close(self._file)

    def _write(self, data: bytes) -> None:
        left = memoryview(data)
        while left:
            written = os.write(self._file, left)
            self._torn = True
            left = left[written:]


def _ends_whole(path: Path) -> bool:
    with path.open("rb") as file:
        if not file.seek(0, os.SEEK_END):
            return True
        file.seek(-1, os.SEEK_END)
        return file.read() == b"\n"
