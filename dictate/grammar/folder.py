"""Where the grammar files are: in the installed package, in a checkout, or in a named folder.

Files are treated as resources and never as paths, so an installed package works from a zip.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from dictate.errors import GrammarError


def grammar_folder(named: Path | None = None) -> Traversable:
    """The folder that holds the grammar.

    Args:
        named: A folder the user names; it replaces the one that came with the program.

    Returns:
        The folder, readable as a package resource.

    Raises:
        GrammarError: No grammar is where it should be.
    """
    if named is not None:
        if not named.is_dir():
            raise GrammarError(f"{named} is not a folder. Name the folder that holds the grammar.")
        return named
    packaged = files("dictate.grammar") / "data"
    if packaged.is_dir():
        return packaged
    checkout = Path(__file__).resolve().parents[2]
    if (checkout / "pyproject.toml").is_file() and (checkout / "grammars").is_dir():
        return checkout / "grammars"
    raise GrammarError("The grammar files are missing. Install dictate again.")


def is_whole(folder: Path) -> bool:
    """Tell whether a folder holds a whole grammar, and not only what adds to the shipped one."""
    return not folder.is_dir() or (folder / "common").is_dir()


def grammar_files(folder: Traversable, within: str = "") -> Iterator[tuple[str, str]]:
    """Yield (name relative to the folder, text) of every grammar file, sorted by name.

    Raises:
        GrammarError: A file is not UTF-8 text.
    """
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        name = f"{within}{entry.name}"
        if entry.is_dir():
            yield from grammar_files(entry, f"{name}/")
        elif entry.name.endswith((".yaml", ".yml")):
            try:
                yield name, entry.read_text(encoding="utf-8")
            except UnicodeDecodeError as fault:
                raise GrammarError(f"{name} is not UTF-8 text. Save it as UTF-8.") from fault
