"""Files written for the user: readable by their owner alone, whole or not at all."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from dictate.errors import StorageError


def usual_library() -> Path:
    """The folder of the user's examinations (XDG base directories)."""
    data = os.environ.get("XDG_DATA_HOME", "")
    base = Path(data) if os.path.isabs(data) else Path.home() / ".local" / "share"
    return base / "dictate" / "dictations"


#: Bytes that are copied at once.
_BLOCK = 1 << 20


def make_folder(folder: Path) -> None:
    """Make every missing folder on the way, for the owner alone.

    Raises:
        StorageError: It cannot be made.
    """
    try:
        _make_folder(folder)
    except OSError as fault:
        raise StorageError(
            f"The folder {folder} cannot be made: {fault.strerror}. Name another one."
        ) from None


def _make_folder(folder: Path) -> None:
    if not folder.is_dir():
        _make_folder(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal.

    Raises:
        StorageError: It cannot be read.
    """
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as fault:
        raise StorageError(f"{path} cannot be read: {fault.strerror}. Check the disk.") from None


def copy_private(source: Path, target: Path) -> None:
    """Copy a file of any size, for the owner alone; whole or not at all.

    Raises:
        StorageError: It cannot be read, the disk is full, or the folder cannot be written.
    """
    with _replacing(target, f"{source.name} was not copied") as file, source.open("rb") as old:
        shutil.copyfileobj(old, file, _BLOCK)


def write_private(path: Path, content: str | bytes) -> None:
    """Write a file so that it is either the old one or the new one, never half of it.

    Args:
        path: Where to; its folder is made if it is missing.
        content: Text (UTF-8) or bytes.

    Raises:
        StorageError: The disk is full, or the folder cannot be written.
    """
    data = content.encode() if isinstance(content, str) else content
    with _replacing(path, f"{path.name} was not written") as file:
        file.write(data)


@contextmanager
def _replacing(path: Path, fails: str) -> Iterator[BinaryIO]:
    """A file that takes the place of another once all of it is on disk.

    Raises:
        StorageError: It cannot be read or written; ``fails`` says what was not done.
    """
    try:
        _make_folder(path.parent)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".writing-")
        try:
            with os.fdopen(handle, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as fault:
        reason = fault.strerror or "it cannot be written"
        raise StorageError(f"{fails}: {reason}. Choose another place.") from fault
