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
from dictate.journal.lock import FileLock

#: What waits, one JSON object a line; there only while something does.
HANDED_NAME = "handed.jsonl"


def hand_over(folder: Path, writer: FileLock, deed: str, arguments: dict[str, Any]) -> str | None:
    """Hand a deed to whoever writes.

    Args:
        folder: Of the examination.
        writer: The lock of its journal, not held here.
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
        with _spool(folder) as file:
            if writer.free():
                return None
            _write_whole(file, b"\n" + line.encode("utf-8", "replace") + b"\n")
    except OSError as fault:
        raise StorageError(
            f"It could not be handed over: {fault.strerror}. Make room, and do it again."
        ) from None
    return identity


class Handed:
    """What was handed over, for the one who writes."""

    def __init__(self, folder: Path) -> None:
        """Begin at the start of what waits."""
        self._path, self._offset = folder / HANDED_NAME, 0

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
        """The last of it: nothing more is handed over while the context lasts.

        The file is taken away at its end: what was in it is in the journal by then.
        """
        lock = FileLock(self._path)
        if not lock.wait():
            yield []
            return
        try:
            yield self.more()
            self._path.unlink(missing_ok=True)
            self._offset = 0
        finally:
            lock.release()


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
def _spool(folder: Path) -> Iterator[int]:
    """The file to write to, with nobody else writing to it or taking it away."""
    lock = FileLock(folder / HANDED_NAME)
    file = os.open(folder / HANDED_NAME, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        while not (lock.wait() and _same(file, folder / HANDED_NAME)):
            lock.release()
            os.close(file)
            file = os.open(folder / HANDED_NAME, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        yield file
    finally:
        os.close(file)
        lock.release()


def _same(file: int, path: Path) -> bool:
    return os.path.samestat(os.fstat(file), os.stat(path))
