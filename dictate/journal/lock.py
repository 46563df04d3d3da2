"""One writer for a folder: who holds it, and that it is let go of when its process ends."""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path

from dictate.errors import StorageError

#: Its file in the folder. It says nothing of the examination and is left out of every copy.
LOCK_NAME = "writer.lock"


class WriterLock:
    """The right to write to a folder; the system takes it back when the process ends."""

    def __init__(self, folder: Path) -> None:
        """Name a folder; nothing is held."""
        self._path = folder / LOCK_NAME
        self._file: int | None = None

    @property
    def held(self) -> bool:
        """Whether this object holds it."""
        return self._file is not None

    def take(self, program: str) -> bool:
        """Try to get it, without waiting.

        Args:
            program: What others are told of who holds it ("listen", "review").

        Returns:
            Whether it is held now.

        Raises:
            StorageError: The folder cannot be written.
        """
        if self._file is not None:
            return True
        try:
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as fault:
            raise StorageError(
                f"{self._path.parent} cannot be written: {fault.strerror}. Choose another folder."
            ) from None
        if not _lock(file):
            os.close(file)
            return False
        told = json.dumps({"program": program, "process": os.getpid()}).encode()
        with contextlib.suppress(OSError):  # a full disk: others are not told by name
            os.ftruncate(file, 0)
            os.pwrite(file, told, 0)
        self._file = file
        return True

    def holder(self) -> str:
        """The program that holds it, as far as it said so; empty where it did not."""
        try:
            told = json.loads(self._path.read_bytes())
            return str(told["program"])
        except (OSError, ValueError, KeyError, TypeError):
            return ""

    def release(self) -> None:
        """Let go of it."""
        if self._file is not None:
            os.close(self._file)
            self._file = None


def _lock(file: int) -> bool:
    try:
        import fcntl
    except ImportError:  # a system without it has another way
        return _lock_bytes(file)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _lock_bytes(file: int) -> bool:
    import msvcrt

    try:
        # far behind what the file says, so that others can read it
        os.lseek(file, 1 << 20, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    except OSError:
        return False
    return True
