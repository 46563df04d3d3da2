"""Begin a grammar of one's own: the shipped files copied, or one new file with a test that runs."""

from __future__ import annotations

import re
from pathlib import Path

from dictate.errors import GrammarError, StorageError, UsageError
from dictate.grammar.folder import grammar_files, grammar_folder
from dictate.grammar.names import capital

_TEMPLATE = "new_area.txt"
_ID = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")


def copy_grammar(folder: Path) -> int:
    """Copy the grammar that came with the program into a new or empty folder.

    Args:
        folder: Where to; it is made.

    Returns:
        How many files were copied.

    Raises:
        UsageError: Something is there already.
        StorageError: The folder cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"{folder} is there already. Name a new or empty folder.")
    count = 0
    for name, text in grammar_files(grammar_folder()):
        _write(folder / name, text)
        count += 1
    return count


def new_area(area: str, folder: Path) -> Path:
    """Write a commented file for one exam area, with one test and its examples.

    Args:
        area: The area's id: small letters, digits and ``_``.
        folder: Where to; it is made.

    Returns:
        The file.

    Raises:
        UsageError: That is no id, or the file is there already.
        GrammarError: The installed program lacks the pattern of the file.
        StorageError: The folder cannot be written.
    """
    if not _ID.fullmatch(area):
        raise UsageError(f"{area!r} is no name for an area. Use small letters, digits and _.")
    path = folder / f"{area}.yaml"
    if path.exists():
        raise UsageError(f"{path} is there already. Choose another name.")
    pattern = grammar_folder() / "common" / _TEMPLATE
    if not pattern.is_file():
        raise GrammarError("The pattern of a new area is missing. Install dictate again.")
    words = area.replace("_", " ")
    text = pattern.read_text(encoding="utf-8")
    _write(path, text.format(area=area, words=words, title=capital(words)))
    return path


def _write(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as fault:
        raise StorageError(
            f"{path} cannot be written: {fault.strerror}. Name another folder."
        ) from fault
