"""Unpacking a model from an archive that is not trusted, and copying one from a folder."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
import zipfile
from pathlib import Path, PurePosixPath

from dictate.errors import ModelError, StorageError

#: No model that runs on a small computer unpacks to more (bytes), or to more files.
LARGEST_MODEL_BYTES = 4_000_000_000
MOST_FILES = 500
#: What must stay free on the disk beside the model (bytes).
_SPARE_BYTES = 100_000_000
_PIECE_BYTES = 1 << 20


def sha256_of(path: Path) -> str:
    """Compute the SHA-256 of a file (FIPS 180-4), in hexadecimal.

    Raises:
        ModelError: The file cannot be read.
    """
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as fault:
        raise ModelError(
            f"{path} cannot be read: {fault.strerror}. Check the name and that it may be read."
        ) from None


def unpack_model(archive: Path, into: Path, folder: str | None = None) -> None:
    """Unpack the model that lies in a zip archive.

    Args:
        archive: The archive; nothing in it is trusted.
        into: A new folder for the model's files.
        folder: The folder inside that holds the model; None to take the one with am/final.mdl.

    Raises:
        ModelError: The archive is damaged, unsafe, too large or holds no model.
        StorageError: The disk is full or cannot be written.
    """
    try:
        with zipfile.ZipFile(archive) as packed:
            entries = _entries_of_model(packed, archive, folder)
            need_space(into.parent, sum(entry.file_size for entry in entries.values()))
            _make_folder(into)
            for name, entry in entries.items():
                _write_entry(packed, entry, into / name)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, ValueError) as fault:
        raise ModelError(f"{archive} is damaged or no zip archive. Bring it again.") from fault
    except OSError as fault:
        raise _storage_error(into, fault) from fault


def copy_model(folder: Path, into: Path) -> None:
    """Copy a model's ordinary files; links are not followed.

    Args:
        folder: The model.
        into: A new folder for the copy.

    Raises:
        ModelError: The folder holds far more than a model does.
        StorageError: The disk is full or cannot be written.
    """
    files = [path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink()]
    size = sum(path.stat().st_size for path in files)
    _check_bounds(len(files), size, folder)
    need_space(into.parent, size)
    try:
        _make_folder(into)
        for path in files:
            copy = into / path.relative_to(folder)
            _make_folder(copy.parent)
            shutil.copyfile(path, copy)
            copy.chmod(0o600)
    except OSError as fault:
        raise _storage_error(into, fault) from fault


def need_space(folder: Path, size: int) -> None:
    """Refuse to begin what the disk has no room for.

    Args:
        folder: An existing folder on that disk.
        size: Bytes to be written.

    Raises:
        StorageError: There is not enough room.
    """
    free = shutil.disk_usage(folder).free
    if free < size + _SPARE_BYTES:
        needed = (size + _SPARE_BYTES) // 1_000_000
        raise StorageError(
            f"The disk of {folder} has {free // 1_000_000} MB free and {needed} MB are needed. "
            "Make room and run again: dictate setup"
        )


def _entries_of_model(
    packed: zipfile.ZipFile, archive: Path, folder: str | None
) -> dict[str, zipfile.ZipInfo]:
    """Map the path inside the model to the entry, for all files of the model."""
    names = packed.namelist()
    if folder is None:
        marks = sorted(name for name in names if f"/{name}".endswith("/am/final.mdl"))
        folder = marks[0].removesuffix("am/final.mdl") if marks else None
    if folder is None or not any(name.startswith(folder) for name in names):
        raise ModelError(f"There is no speech model in {archive}. Name another archive.")
    entries: dict[str, zipfile.ZipInfo] = {}
    for entry in packed.infolist():
        if not entry.filename.startswith(folder) or entry.is_dir():
            continue
        _check_entry(entry, archive)
        entries[entry.filename[len(folder) :]] = entry
    _check_bounds(len(entries), sum(entry.file_size for entry in entries.values()), archive)
    return entries


def _check_entry(entry: zipfile.ZipInfo, archive: Path) -> None:
    name = entry.filename
    mode = entry.external_attr >> 16
    linked = stat.S_IFMT(mode) not in (0, stat.S_IFREG)
    path = PurePosixPath(name)
    unsafe = path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name
    if linked or unsafe or "\x00" in entry.orig_filename:
        raise ModelError(f"{archive} is unsafe: it would write outside its folder. Do not use it.")


def _check_bounds(files: int, size: int, where: Path) -> None:
    if files > MOST_FILES or size > LARGEST_MODEL_BYTES:
        raise ModelError(f"{where} holds far more than a speech model does. Name another one.")


def _write_entry(packed: zipfile.ZipFile, entry: zipfile.ZipInfo, target: Path) -> None:
    """Write one file; never more bytes than its entry states."""
    _make_folder(target.parent)
    handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    left = entry.file_size
    with packed.open(entry) as source, os.fdopen(handle, "wb") as file:
        while piece := source.read(_PIECE_BYTES):
            left -= len(piece)
            if left < 0:
                raise ValueError("longer than stated")
            file.write(piece)
    if left:
        raise ValueError("shorter than stated")


def _make_folder(folder: Path) -> None:
    """Make a folder and those above it, for the owner alone."""
    if not folder.is_dir():
        _make_folder(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)


def _storage_error(where: Path, fault: OSError) -> StorageError:
    return StorageError(
        f"The speech model cannot be written beside {where.parent}: {fault.strerror}. "
        "Make room or allow writing there, and run again: dictate setup"
    )
