"""One writer for a folder: who holds it, and that it is let go of when its process ends."""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path

from dictate.errors import StorageError

#: Its file in the folder. It says nothing of the examination and is left out of every copy.
LOCK_NAME = ".writer.lock"


class FileLock:
    """A lock on a file; the system takes it back when the process ends."""

    def __init__(self, path: Path) -> None:
        """Name a file; nothing is held."""
        self._path = path
        self._file: int | None = None

    @property
    def held(self) -> bool:
        """Whether this object holds it."""
        return self._file is not None

    def take(self) -> bool:
        """Try to get it.

        Returns:
            Whether it is held now.

        Raises:
            StorageError: The file cannot be written.
        """
        return self.held or self._open(wait=False)

    def wait(self) -> None:
        """Get it, however long that takes.

        Raises:
            StorageError: The file cannot be written.
        """
        if not self.held:
            self._open(wait=True)

    def release(self) -> None:
        """Let go of it."""
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def _open(self, wait: bool) -> bool:
        try:
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as fault:
            raise StorageError(
                f"{self._path.parent} cannot be written: {fault.strerror}. Choose another folder."
            ) from None
        if not _lock(file, wait):
            os.close(file)
            return False
        self._file = file
        return True


class WriterLock(FileLock):
    """The right to write to a folder."""

    def __init__(self, folder: Path) -> None:
        """Name a folder; nothing is held."""
        super().__init__(folder / LOCK_NAME)

    def take_for(self, program: str) -> bool:
        """Try to get it, without waiting.

        Args:
            program: What others are told of who holds it ("listen", "review").

        Returns:
            Whether it is held now.

        Raises:
            StorageError: The folder cannot be written.
        """
        if not self.take():
            return False
        told = json.dumps({"program": program, "process": os.getpid()}).encode()
        assert self._file is not None
        with contextlib.suppress(OSError):  # a full disk: others are not told by name
            os.ftruncate(self._file, 0)
            os.pwrite(self._file, told, 0)
        return True

    def free(self) -> bool:
        """Whether nobody holds it."""
        if self.held:
            return False
        taken = self.take()
        self.release()
        return taken

    def holder(self) -> str:
        """The program that holds it, as far as it said so; empty where it did not."""
        try:
            told = json.loads(self._path.read_bytes())
            return str(told["program"])
        except (OSError, ValueError, KeyError, TypeError):
            return ""


def _lock(file: int, wait: bool) -> bool:
    try:
        import fcntl
    except ImportError:  # a system without it has another way
        return _lock_bytes(file, wait)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        return False
    return True


def _lock_bytes(file: int, wait: bool) -> bool:
    import msvcrt

    try:
        # far behind what the file says, so that others can read it
        os.lseek(file, 1 << 20, os.SEEK_SET)
        mode = "LK_LOCK" if wait else "LK_NBLCK"
        msvcrt.locking(file, getattr(msvcrt, mode), 1)  # type: ignore[attr-defined]
    except OSError:
        return False
    return True
