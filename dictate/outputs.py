"""Everything that is made of a finished narration, as files of one folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Protocol

from dictate.errors import InputError, UsageError
from dictate.grammar import Grammar
from dictate.journal.writing import JOURNAL_NAME
from dictate.model import Record
from dictate.render import RENDERERS
from dictate.store import write_private

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


class Recorded(Protocol):
    """A narration with its record: a session, or an examination in its folder."""

    grammar: Grammar

    def record(self) -> Record: ...


def write_outputs(narration: Recorded, folder: Path) -> list[str]:
    """Write the record, the note in every form and the captions.

    Args:
        narration: Whose.
        folder: Where to; made if it is missing, readable by its owner alone.

    Returns:
        The names of the files.

    Raises:
        StorageError: The disk is full, or the folder cannot be written.
    """
    record = narration.record()
    written: list[str] = []
    for name, renderer in RENDERERS.items():
        if not renderer.kept:
            continue
        try:
            content = renderer.function(record, narration.grammar)
        except InputError:
            continue  # captions of typed text: there is no sound to caption
        file = file_name(name)
        write_private(folder / file, content)
        written.append(file)
    return written
