"""Deeds that are handed to the program that holds an examination (a dictation that goes on).

They wait in a file of the folder until that program has taken them: on disk first, so that none
is lost if it is killed. Whoever writes next takes what is left. A number of its own keeps each
from being taken twice.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from dictate.errors import StorageError
from dictate.journal.lock import FileLock, WriterLock

#: What waits, one JSON object a line.
HANDED_NAME = ".handed.jsonl"
#: Its lock: nobody hands anything over while the other one is closing.
HANDED_LOCK = ".handed.lock"


def hand_over(folder: Path, writer: WriterLock, deed: str, arguments: dict[str, Any]) -> str | None:
    """Hand a deed to whoever writes.

    Args:
        folder: Of the examination.
        writer: Its lock, not held.
        deed: A name in ``deeds.DEEDS``.
        arguments: What it takes, as plain values.

    Returns:
        The number by which the journal will name it; None where nobody writes any more.

    Raises:
        StorageError: It cannot be written.
    """
    identity = secrets.token_hex(8)
    line = json.dumps({"id": identity, "do": deed, **arguments}, ensure_ascii=False)
    try:
        with _spool(folder):
            if writer.free():
                return None
            file = os.open(folder / HANDED_NAME, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
            try:
                _write_whole(file, b"\n" + line.encode("utf-8", "replace") + b"\n")
            finally:
                os.close(file)
    except OSError as fault:
        raise StorageError(
            f"It could not be handed over: {fault.strerror}. Make room, and do it again."
        ) from None
    return identity


class Handed:
    """What was handed over, for the one who writes."""

    def __init__(self, folder: Path) -> None:
        """Begin at the start of what waits."""
        self._folder, self._path, self._offset = folder, folder / HANDED_NAME, 0

    def more(self) -> list[dict[str, Any]]:
        """What is new, in order."""
        try:
            if self._path.stat().st_size <= self._offset:
                return []
            with self._path.open("rb") as file:
                file.seek(self._offset)
                data = file.read()
        except OSError:
            return []
        whole, line_end, _ = data.rpartition(b"\n")
        self._offset += len(whole) + len(line_end)
        return [deed for line in whole.split(b"\n") if (deed := _read(line)) is not None]

    @contextmanager
    def last(self) -> Iterator[list[dict[str, Any]]]:
        """The last of it; nothing more can be handed over while the context lasts.

        The file is taken away at its end: what was in it is in the journal by then.
        """
        with _spool(self._folder):
            yield self.more()
            self._path.unlink(missing_ok=True)
            self._offset = 0


def _read(line: bytes) -> dict[str, Any] | None:
    try:
        deed = json.loads(line)
    except ValueError:
        return None
    whole = isinstance(deed, dict) and isinstance(deed.get("id"), str)
    return deed if whole and isinstance(deed.get("do"), str) else None


def _write_whole(file: int, data: bytes) -> None:
    size = os.fstat(file).st_size
    try:
        left = memoryview(data)
        while left:
            left = left[os.write(file, left) :]
        os.fsync(file)
    except OSError:
        os.ftruncate(file, size)  # it was not handed over, and must not be taken for it
        raise


@contextmanager
def _spool(folder: Path) -> Iterator[None]:
    lock = FileLock(folder / HANDED_LOCK)
    lock.wait()
    try:
        yield
    finally:
        lock.release()
