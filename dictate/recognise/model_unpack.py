"""Takes a speech model out of an archive (zip) safely.

An archive comes from elsewhere, so nothing in it decides where a file is written, and its size
is bounded before and while it is unpacked.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile, ZipInfo

from dictate.errors import ModelError, StorageError

#: The file that every Vosk model has, from which its folder in an archive is found.
_MARK = "am/final.mdl"
#: Files that a model may have; the known ones have about 20.
MOST_FILES = 200
#: Bytes that a model may have; the largest known one has 2.7 GB.
MOST_BYTES = 8_000_000_000
_PIECE = 1 << 20


def verify_digest(archive: Path, sha256: str) -> None:
    """Compare an archive with the SHA-256 that it must have.

    Args:
        archive: The file.
        sha256: In hexadecimal.

    Raises:
        ModelError: It is another file, or cannot be read.
    """
    try:
        with archive.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise ModelError(f"{archive} cannot be read: {error.strerror}. Bring it again.") from None
    if found != sha256:
        raise ModelError(
            f"{archive.name} is not the file that was published (its SHA-256 differs). "
            "Delete it and bring it again."
        )


def unpack_model(archive: Path, folder: Path, most_bytes: int = MOST_BYTES) -> None:
    """Unpack the one model in an archive, and nothing else of it.

    Args:
        archive: A zip file with a Vosk model in one of its folders.
        folder: An empty folder to put the model's files in.
        most_bytes: Refuse a model that is larger.

    Raises:
        ModelError: The archive is damaged, unsafe, too large, or holds no model.
        StorageError: There is no room, or a file cannot be written.
    """
    try:
        with ZipFile(archive) as packed:
            entries = _find_entries(packed, archive)
            _check_size(list(entries.values()), archive, folder, most_bytes)
            for name, entry in entries.items():
                _write_entry(packed, entry, folder / name)
    except (BadZipFile, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        raise ModelError(f"{archive} is no whole zip archive ({error}). Bring it again.") from None
    except OSError as error:
        raise StorageError(
            f"The speech model cannot be unpacked into {folder}: {error.strerror or error}. "
            "Make room or name another place."
        ) from None
    except Exception as error:  # zlib and lzma have kinds of their own for damaged data
        if isinstance(error, ModelError | StorageError):
            raise
        raise ModelError(f"{archive} is damaged ({error}). Bring it again.") from None


def _find_entries(packed: ZipFile, archive: Path) -> dict[str, ZipInfo]:
    """Find the model's files: name below the model's folder, and entry."""
    files = [entry for entry in packed.infolist() if not entry.is_dir()]
    marks = [entry.filename for entry in files if f"/{entry.filename}".endswith(f"/{_MARK}")]
    if len(marks) != 1:
        raise ModelError(
            f"{archive} holds {len(marks)} speech models where one is needed. "
            "Name an archive of one Vosk model."
        )
    root = marks[0].removesuffix(_MARK)
    entries = {e.filename.removeprefix(root): e for e in files if e.filename.startswith(root)}
    if len(entries) > MOST_FILES:
        raise ModelError(f"{archive} holds too many files for a speech model. Name another.")
    for name, entry in entries.items():
        _check_safe(name, entry, archive)
    return entries


def _check_safe(name: str, entry: ZipInfo, archive: Path) -> None:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    path = PurePosixPath(entry.filename)
    outside = path.is_absolute() or ".." in path.parts or not name
    if outside or "\\" in name or ":" in name or kind not in (0, stat.S_IFREG):
        raise ModelError(
            f"{archive} holds an entry that would be written elsewhere ({entry.filename!r}); "
            "nothing was unpacked. Name another archive."
        )


def _check_size(entries: list[ZipInfo], archive: Path, folder: Path, most_bytes: int) -> None:
    size = sum(entry.file_size for entry in entries)
    if size > most_bytes:
        raise ModelError(f"{archive} is too large for a speech model. Name another.")
    require_room(folder, size)


def require_room(folder: Path, size: int) -> None:
    """Make sure that there is room on the disk.

    Args:
        folder: An existing folder.
        size: Bytes that are to be written into it.

    Raises:
        StorageError: There is not.
    """
    free = shutil.disk_usage(folder).free
    if free < size * 1.1:
        raise StorageError(
            f"The speech model needs {size / 1e6:.0f} MB in {folder} and {free / 1e6:.0f} MB are "
            "free. Make room or name another place."
        )


def _write_entry(packed: ZipFile, entry: ZipInfo, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    file = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with open(file, "wb") as out, packed.open(entry) as packed_file:
        written = 0
        while piece := packed_file.read(_PIECE):
            written += len(piece)
            if written > entry.file_size:
                raise BadZipFile("an entry is larger than stated")
            out.write(piece)
