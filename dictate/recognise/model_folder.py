"""What a Vosk model's folder must hold, checked before the engine sees it.

The engine is no judge of its own files: with some of them damaged it stops the whole process,
with others it never returns, with others it hears less and says nothing. So a model that
``dictate setup`` has brought carries a list of its files with their sizes and SHA-256.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from dictate.errors import ModelError

#: Name of the list of files that a model of ours carries.
FILE_LIST = "dictate-files.json"
#: Files of every model.
_ALWAYS = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/phones/word_boundary.int")
#: The decoding graph comes in one of two ways.
_GRAPHS = (("graph/HCLG.fst",), ("graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int"))
#: Files of a model that adapts to the speaker (a folder ``ivector``).
_IVECTOR = tuple(
    f"ivector/{name}"
    for name in (
        "final.dubm",
        "final.ie",
        "final.mat",
        "global_cmvn.stats",
        "online_cmvn.conf",
        "splice.conf",
    )
)
_REMEDY = "Run 'dictate setup' to bring the speech model."


def check_folder(folder: Path, thorough: bool = False) -> None:
    """Make sure that a folder holds a whole Vosk model.

    Args:
        folder: The model's folder.
        thorough: Compare the SHA-256 of each file too, where the folder lists them; takes
            about a second.

    Raises:
        ModelError: Something is missing or changed; the message names it.
    """
    try:
        if not folder.is_dir():
            raise ModelError(f"There is no speech model in {folder}. {_REMEDY}")
        missing = _find_missing(folder)
        changed = _find_changed(folder, thorough)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise ModelError(
            f"The speech model in {folder} cannot be read: {reason}. {_REMEDY}"
        ) from None
    if missing:
        raise ModelError(f"The speech model in {folder} lacks {missing[0]}. {_REMEDY}")
    if changed:
        raise ModelError(
            f"The speech model in {folder} is damaged: {changed[0]} has changed. "
            "Delete that folder and run 'dictate setup'."
        )


def is_model(folder: Path) -> bool:
    """Tell whether a folder holds a whole Vosk model."""
    try:
        check_folder(folder)
    except ModelError:
        return False
    return True


def list_files(folder: Path) -> None:
    """Write the list of a model's files into its folder.

    Raises:
        OSError: It cannot be written.
    """
    files = {
        path.relative_to(folder).as_posix(): [path.stat().st_size, _digest(path)]
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != FILE_LIST
    }
    (folder / FILE_LIST).write_text(json.dumps(files, indent=1) + "\n", encoding="utf-8")


def _find_missing(folder: Path) -> list[str]:
    needed = list(_ALWAYS)
    if (folder / "ivector").is_dir():
        needed += _IVECTOR
    needed += _GRAPHS[0] if (folder / _GRAPHS[0][0]).exists() else _GRAPHS[1]
    return [name for name in needed if not _holds_something(folder / name)]


def _holds_something(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def _find_changed(folder: Path, thorough: bool) -> list[str]:
    listing = folder / FILE_LIST
    if not listing.exists():
        return []
    try:
        files = {
            str(name): (int(size), str(digest))
            for name, (size, digest) in json.loads(listing.read_text(encoding="utf-8")).items()
        }
    except (ValueError, TypeError, AttributeError):
        return [FILE_LIST]
    return [
        name
        for name, (size, digest) in files.items()
        if not (folder / name).is_file()
        or (folder / name).stat().st_size != size
        or (thorough and _digest(folder / name) != digest)
    ]


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
