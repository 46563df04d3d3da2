"""Everything that is made of a finished narration, as files of one folder."""

from __future__ import annotations

from pathlib import Path

from dictate.errors import InputError
from dictate.render import RENDERERS
from dictate.session import Session
from dictate.store import write_private

#: Outputs whose file has their own name; the others are all called "note".
_OWN_NAME = {"captions", "chapters", "record"}


def write_outputs(session: Session, folder: Path) -> list[str]:
    """Write the record, the note in every form and the captions.

    Args:
        session: The narration.
        folder: Where to; made if it is missing, readable by its owner alone.

    Returns:
        The names of the files.

    Raises:
        StorageError: The disk is full, or the folder cannot be written.
    """
    record = session.record()
    written: list[str] = []
    for name, renderer in RENDERERS.items():
        if not renderer.kept:
            continue
        try:
            content = renderer.function(record, session.grammar)
        except InputError:
            continue  # captions of typed text: there is no sound to caption
        file = f"{name if name in _OWN_NAME else 'note'}{renderer.ending}"
        write_private(folder / file, content)
        written.append(file)
    return written
