"""Everything that is made of a finished narration, as files of one folder."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render import RENDERERS
from dictate.store import write_private

#: Outputs whose file has their own name; the others are all called "note".
_OWN_NAME = {"captions", "chapters", "record"}


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
        file = f"{name if name in _OWN_NAME else 'note'}{renderer.ending}"
        write_private(folder / file, content)
        written.append(file)
    return written
