"""One writer for a journal: the right to write is a lock on the file itself."""

from __future__ import annotations

import os
from pathlib import Path

from dictate.errors import StorageError

#: Where a system that locks bytes and not files locks one: behind all that is ever written.
_FAR = 1 << 40


class FileLock:
    """A lock on a file that is there; the system takes it back when the process ends."""

    def __init__(self, path: Path) -> None:
        """Name a file; nothing is held."""
        self._path = path
        self._file: int | None = None

    @property
    def held(self) -> bool:
        """Whether this object holds it."""
        return self._file is not None

    def take(self) -> bool:
        """Try to get it, without waiting.

        Returns:
            Whether it is held now; not where there is no such file.

        Raises:
            StorageError: The file cannot be opened.
        """
        return self.held or self._open(wait=False)

    def wait(self) -> bool:
        """Get it, however long that takes.

        Returns:
            Whether it is held now; not where there is no such file.

        Raises:
            StorageError: The file cannot be opened.
        """
        return self.held or self._open(wait=True)

    def free(self) -> bool:
        """Whether nobody holds it."""
        if self.held:
            return False
        taken = self.take()
        self.release()
        return taken

    def release(self) -> None:
        """Let go of it."""
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def _open(self, wait: bool) -> bool:
        while True:
            try:
                file = os.open(self._path, os.O_RDWR)
            except FileNotFoundError:
                return False
            except OSError as fault:
                raise StorageError(
                    f"{self._path} cannot be written: {fault.strerror}. Choose another folder."
                ) from None
            if not _lock(file, wait):
                os.close(file)
                return False
            if self._is_still(file):
                self._file = file
                return True
            os.close(file)  # another one has stood in its place since

    def _is_still(self, file: int) -> bool:
        try:
            there = os.stat(self._path)
        except OSError:
            return False
        return os.path.samestat(os.fstat(file), there)


def _lock(file: int, wait: bool) -> bool:
    try:
        import fcntl
    except ImportError:  # a system without it has another way
        return _lock_byte(file, wait)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        return False
    return True


def _lock_byte(file: int, wait: bool) -> bool:
    import msvcrt

    try:
        os.lseek(file, _FAR, os.SEEK_SET)
        mode = "LK_LOCK" if wait else "LK_NBLCK"
        msvcrt.locking(file, getattr(msvcrt, mode), 1)  # type: ignore[attr-defined]
    except OSError:
        return False
    return True
