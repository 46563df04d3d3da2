"""One file of an examination, for another machine; encrypted in the age format where wished.

The file is a tar archive (POSIX.1-2001) of plain files: first ``contents.json``, which holds the
size and SHA-256 of each of the others. The format of the encryption is age, version 1
(age-encryption.org/v1), with a passphrase, so that other programs for it open it too.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import secrets
import shutil
import tarfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from dictate.errors import InputError, StorageError, UsageError
from dictate.examination.handing import HANDED_NAME
from dictate.journal.lock import FileLock
from dictate.journal.reading import read_journal
from dictate.journal.writing import JOURNAL_NAME
from dictate.library.place import UNPACKING, Library
from dictate.store import make_folder, sha256_of, write_private

CONTENTS_NAME = "contents.json"
FORMAT = "dictate-examination"
VERSION = 1
#: No examination is larger: 37 hours of sound, and as much again (bytes).
MOST_BYTES = 8 << 30
#: The library for age holds all of what it encrypts in memory (bytes).
MOST_ENCRYPTED = 1 << 30
#: More files than these are in no folder of ours.
MOST_FILES = 1000
#: The list of contents is small (bytes).
_MOST_CONTENTS = 1 << 20
_BLOCK = 1 << 20
#: Names of files: no path, nothing hidden.
_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,120}")
_AGE = b"age-encryption.org/v1"


def pack(folder: Path, name: str, target: Path, passphrase: str = "") -> None:
    """Put an examination into one file.

    Args:
        folder: Of the examination.
        name: What it is called in the library.
        target: The file to write; it must not be there.
        passphrase: To encrypt it with; left out, it is not encrypted.

    Raises:
        UsageError: There is such a file, or another program writes to the examination.
        StorageError: It cannot be written, or it is too large.
    """
    if target.exists():
        raise UsageError(f"{target} is there already. Name another file.")
    lock = FileLock(folder / JOURNAL_NAME)
    if not lock.take():
        raise UsageError(f"Another program is writing to {folder}. Close it there first.")
    try:
        files = [path for path in sorted(folder.iterdir()) if _belongs(path)]
        size = sum(path.stat().st_size for path in files)
        if size > (MOST_ENCRYPTED if passphrase else MOST_BYTES):
            how = "packed and encrypted" if passphrase else "packed"
            raise StorageError(f"{folder} is too large to be {how}. Copy the folder itself.")
        if passphrase:
            write_private(target, _encrypted(_archive(io.BytesIO(), files, name), passphrase))
        else:
            with _new_file(target) as file:
                _archive(file, files, name)
    except OSError as fault:
        raise StorageError(
            f"It cannot be packed: {fault.strerror}. Choose another place."
        ) from None
    finally:
        lock.release()


def unpack(source: Path, library: Library, passphrase: Callable[[], str]) -> Path:
    """Bring an examination from a file into a library.

    Args:
        source: A file that ``pack`` wrote.
        library: Where to.
        passphrase: Asked for where it is encrypted.

    Returns:
        The folder.

    Raises:
        InputError: It is none, was changed, or the passphrase is another.
        StorageError: It cannot be written.
    """
    make_folder(library.root)
    scratch = library.root / f"{UNPACKING}{secrets.token_hex(8)}"
    try:
        scratch.mkdir(mode=0o700)
        try:
            with _opened(source, passphrase) as (archive, size):
                name = _take_out(archive, size, scratch)
            read_journal(scratch / JOURNAL_NAME)
            folder = library.free_name(name)
            scratch.rename(folder)
        finally:
            shutil.rmtree(scratch, ignore_errors=True)
    except tarfile.TarError:
        raise _damaged(source) from None
    except OSError as fault:
        raise StorageError(
            f"It cannot be unpacked: {fault.strerror}. Make room, or choose another library."
        ) from None
    return folder


# ---- packing


def _belongs(path: Path) -> bool:
    plain = path.is_file() and not path.is_symlink()
    return plain and _NAME.fullmatch(path.name) is not None and path.name != HANDED_NAME


def _archive(file: Any, files: list[Path], name: str) -> Any:
    entries = [
        {"name": path.name, "size": path.stat().st_size, "sha256": sha256_of(path)}
        for path in files
    ]
    contents = {"format": FORMAT, "version": VERSION, "name": name, "files": entries}
    text = json.dumps(contents, ensure_ascii=False, indent=1).encode()
    with tarfile.open(fileobj=file, mode="w", format=tarfile.PAX_FORMAT) as archive:
        archive.addfile(_member(CONTENTS_NAME, len(text)), io.BytesIO(text))
        for path, entry in zip(files, entries, strict=True):
            with path.open("rb") as content:
                archive.addfile(_member(path.name, int(str(entry["size"]))), content)
    return file


def _member(name: str, size: int) -> tarfile.TarInfo:
    """Nothing of the user, the machine or the time is in it."""
    member = tarfile.TarInfo(name)
    member.size, member.mode = size, 0o600
    return member


@contextmanager
def _new_file(target: Path) -> Iterator[IO[bytes]]:
    handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        target.unlink(missing_ok=True)
        raise


def _encrypted(archive: io.BytesIO, passphrase: str) -> bytes:
    import pyrage

    return bytes(pyrage.passphrase.encrypt(archive.getvalue(), passphrase))


# ---- unpacking


@contextmanager
def _opened(source: Path, passphrase: Callable[[], str]) -> Iterator[tuple[tarfile.TarFile, int]]:
    """The archive, and how many bytes it has."""
    try:
        with source.open("rb") as file:
            start = file.read(len(_AGE))
            size = os.fstat(file.fileno()).st_size
            file.seek(0)
            if start != _AGE:
                if size > MOST_BYTES:
                    raise _damaged(source)
                # no compression is looked for: what is small is small
                with tarfile.open(fileobj=file, mode="r:") as archive:
                    yield archive, size
                return
            if size > MOST_ENCRYPTED + _BLOCK:
                raise _damaged(source)
            plain = _decrypted(file.read(), passphrase(), source)
    except (FileNotFoundError, IsADirectoryError):
        raise InputError(f"There is no file {source}. Check the name and the folder.") from None
    with tarfile.open(fileobj=io.BytesIO(plain), mode="r:") as archive:
        yield archive, len(plain)


def _decrypted(data: bytes, passphrase: str, source: Path) -> bytes:
    import pyrage

    try:
        return bytes(pyrage.passphrase.decrypt(data, passphrase))
    except pyrage.DecryptError:
        raise InputError(
            f"{source.name} does not open: the passphrase is another, or the file was changed."
        ) from None


def _take_out(archive: tarfile.TarFile, size: int, folder: Path) -> str:
    """Write every file that the list of contents names, and only those; check each.

    Returns:
        The name of the examination.
    """
    first = archive.next()
    if first is None or first.name != CONTENTS_NAME or first.size > _MOST_CONTENTS:
        raise tarfile.TarError
    contents = _contents(_content(archive, first).read(), size)
    expected = {entry["name"]: entry for entry in contents["files"]}
    for _ in range(MOST_FILES + 1):
        member = archive.next()
        if member is None:
            break
        entry = expected.pop(member.name, None)
        if entry is None or not _is_plain(member) or member.size != entry["size"]:
            raise InputError(
                "The packed file holds something that its list of contents does not name, or "
                "something else than it names. Nothing was unpacked."
            )
        _write(_content(archive, member), folder / entry["name"], entry)
    if expected:
        raise tarfile.TarError
    return str(contents["name"])


def _content(archive: tarfile.TarFile, member: tarfile.TarInfo) -> IO[bytes]:
    content = archive.extractfile(member) if _is_plain(member) else None
    if content is None:
        raise tarfile.TarError
    return content


def _is_plain(member: tarfile.TarInfo) -> bool:
    """A file that stands in the archive byte by byte: no link, no device, no holes."""
    return member.type in (tarfile.REGTYPE, tarfile.AREGTYPE) and member.sparse is None


def _contents(data: bytes, size: int) -> dict[str, Any]:
    """The list of contents, if it is one of ours and no larger than what it came in."""
    try:
        contents = json.loads(data)
        known = (contents["format"], contents["version"]) == (FORMAT, VERSION)
        files = contents["files"]
        sizes = [int(entry["size"]) for entry in files]
        names = [str(entry["name"]) for entry in files]
        texts = [contents["name"], *(entry["sha256"] for entry in files)]
        whole = all(isinstance(text, str) for text in texts)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise tarfile.TarError from None
    plain = all(_NAME.fullmatch(name) and name != CONTENTS_NAME for name in names)
    bounded = len(files) <= MOST_FILES and min(sizes, default=0) >= 0 and sum(sizes) <= size
    if not (known and whole and plain and bounded and len(set(names)) == len(names)):
        raise InputError(
            "The packed file is of another kind or version, too large, or names files that no "
            "examination has. Nothing was unpacked."
        )
    return dict(contents)


def _write(content: IO[bytes], path: Path, entry: dict[str, Any]) -> None:
    found = hashlib.sha256()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        while block := content.read(_BLOCK):
            found.update(block)
            file.write(block)
        file.flush()
        os.fsync(file.fileno())
    if found.hexdigest() != entry["sha256"]:
        raise InputError(
            f"{path.name} in the packed file is not what was packed: its hash is another. "
            "Nothing was unpacked; ask for the file once more."
        )


def _damaged(source: Path) -> InputError:
    return InputError(f"{source.name} is no packed examination, or a part of it is missing.")
