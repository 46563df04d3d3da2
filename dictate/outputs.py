"""Everything that is made of a finished narration, as files of one folder."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from dictate.errors import InputError, UsageError
from dictate.examination import Examination
from dictate.examination.steps import CHANGING
from dictate.journal.writing import JOURNAL_NAME
from dictate.render import RENDERERS
from dictate.store import sha256_of, write_private

#: Outputs whose file has their own name; the others are all called "note".
_OWN_NAME = {"captions", "chapters", "record"}


def refuse_taken(folder: Path) -> None:
    """Make sure that a folder holds no examination that would be overwritten.

    Args:
        folder: Where an examination is to be written; it may be missing.

    Raises:
        UsageError: One is there already.
    """
    outputs = {file_name(name) for name in RENDERERS}
    if any(os.path.lexists(folder / name) for name in (JOURNAL_NAME, *sorted(outputs))):
        raise UsageError(f"There is an examination in {folder} already. Name a new folder.")


def file_name(name: str) -> str:
    """The name of the file of an output (one of RENDERERS)."""
    return f"{name if name in _OWN_NAME else 'note'}{RENDERERS[name].ending}"


def keep_current(examination: Examination, anew: bool = False) -> list[str]:
    """Write the files of an examination's folder anew, where its history has gone on since.

    A note that somebody has edited is theirs: it is left as it is.

    Args:
        examination: One that this program writes to.
        anew: Also where nothing has changed.

    Returns:
        The names of the files that were left as they are, though they are not what the
        examination says now.

    Raises:
        StorageError: The disk is full, or the folder cannot be written.
    """
    events = examination.events()
    last = max((event["n"] for event in events if event["event"] == "written"), default=0)
    changed = anew or any(event["n"] > last and event["event"] in CHANGING for event in events)
    if not (examination.writes and changed and examination.facts.whole):
        return []
    known = examination.written
    left: list[str] = []
    now: dict[str, str] = {}
    for file, content in _contents(examination):
        path, sha256 = examination.folder / file, hashlib.sha256(content).hexdigest()
        there = sha256_of(path) if path.is_file() else None
        if there not in (None, sha256, known.get(file)):
            left.append(file)
            continue
        if there != sha256:
            write_private(path, content)
        now[file] = sha256
    examination.wrote(now)
    return left


def _contents(examination: Examination) -> Iterator[tuple[str, bytes]]:
    """The files' names, and what they hold now."""
    record = examination.record()
    for name, renderer in RENDERERS.items():
        if not renderer.kept:
            continue
        try:
            content = renderer.function(record, examination.grammar)
        except InputError:
            continue  # captions of typed text: there is no sound to caption
        yield file_name(name), content.encode() if isinstance(content, str) else content
