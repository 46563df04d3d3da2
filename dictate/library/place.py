"""Where the examinations of a user are, and which folder a name means."""

from __future__ import annotations

import re
import secrets
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from dictate.errors import StorageError, UsageError
from dictate.journal.lock import FileLock
from dictate.journal.writing import JOURNAL_NAME
from dictate.store import make_folder, usual_library

#: How a folder is called that is being taken away, or unpacked.
REMOVING, UNPACKING = ".removing-", ".unpacking-"
#: Folders of folders are looked through so deep.
_DEEP = 3


@dataclass(frozen=True, slots=True)
class Library:
    """A folder of examinations."""

    root: Path

    def folders(self) -> Iterator[Path]:
        """The folder of each examination, by name. What was half removed is removed first."""
        if self.root.is_dir():
            self._finish_removing()
            yield from _examinations(self.root, _DEEP)

    def called(self, name: str) -> Path | None:
        """The folder that a name means: a path, or its name in the library."""
        paths = (Path(name), self.root / name)
        return next((path for path in paths if (path / JOURNAL_NAME).is_file()), None)

    def name_of(self, folder: Path) -> str:
        """What a folder is called in the library."""
        try:
            return str(folder.relative_to(self.root))
        except ValueError:
            return str(folder)

    def remove(self, folder: Path) -> None:
        """Take an examination away, with all that is in its folder.

        Raises:
            UsageError: Another program is writing to it.
            StorageError: It cannot be taken away.
        """
        lock = FileLock(folder / JOURNAL_NAME)
        if not lock.take():
            raise UsageError(f"Another program is writing to {folder}. Close it there first.")
        try:
            away = folder.with_name(f"{REMOVING}{secrets.token_hex(8)}")
            folder.rename(away)  # from here on it is gone, whatever happens
            shutil.rmtree(away)
        except OSError as fault:
            raise StorageError(
                f"{folder} cannot be removed: {fault.strerror}. Check who may write there."
            ) from None
        finally:
            lock.release()

    def free_name(self, wanted: str) -> Path:
        """A folder that is not there yet, called as wanted or nearly so."""
        make_folder(self.root)
        name = re.sub(r"[^A-Za-z0-9._-]", "-", wanted).strip(".-")[:80] or "examination"
        folder, number = self.root / name, 2
        while folder.exists():
            folder, number = self.root / f"{name}-{number}", number + 1
        return folder

    def _finish_removing(self) -> None:
        for rest in (*self.root.glob(f"{REMOVING}*"), *self.root.glob(f"{UNPACKING}*")):
            shutil.rmtree(rest, ignore_errors=True)


def open_library(folder: Path | None = None) -> Library:
    """The library in a folder, or the user's own."""
    return Library(folder if folder is not None else usual_library())


def _examinations(folder: Path, deep: int) -> Iterator[Path]:
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.is_symlink() or not path.is_dir():
            continue
        if (path / JOURNAL_NAME).is_file():
            yield path
        elif deep:
            yield from _examinations(path, deep - 1)
