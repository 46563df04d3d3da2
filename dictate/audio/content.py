"""What a file is, judged by its content and never by its name."""

from __future__ import annotations

import codecs
import re
import stat
from pathlib import Path

from dictate.errors import InputError

#: Bytes from the start of a file that are looked at to tell text from anything else.
LOOKED_AT = 65_536
#: Control characters that no text holds: C0 but tab, line feed, vertical tab, form feed and
#: carriage return; delete; C1 but next line (Unicode 15, chapter 23.1).
CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f]")


def is_sound_file(path: Path) -> bool:
    """Tell whether a file is to be read as sound.

    Text (UTF-8 without control characters) is text whatever its name; anything else is tried
    as sound, and ``FileSource`` says so clearly where it is none.

    Args:
        path: The file.

    Returns:
        False for text, True for anything else.

    Raises:
        InputError: The file is missing, empty, no file or cannot be read.
    """
    return not is_text(read_start(path))


def read_start(path: Path, size: int = LOOKED_AT) -> bytes:
    """Read the first bytes of a file that must be a readable, non-empty file.

    Args:
        path: The file.
        size: How many bytes to read at most.

    Raises:
        InputError: The file is missing, empty, no file or cannot be read.
    """
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise InputError(f"{path} is a folder, not a file. Name one file in it.")
        if not stat.S_ISREG(mode):
            raise InputError(f"{path} is not an ordinary file. Name a recording or a text file.")
        with path.open("rb") as file:
            start = file.read(size)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(f"There is no file {path}. Check the name and the folder.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(f"{path} cannot be read: {reason}. Check that it may be read.") from None
    if not start:
        raise InputError(
            f"{path} is empty: there is nothing in it to read. Record or copy it again."
        )
    return start


def is_text(start: bytes) -> bool:
    """Tell whether bytes are the start of a UTF-8 text.

    Args:
        start: The first bytes of a file; a character cut in two at their end does no harm.
    """
    try:
        text = codecs.getincrementaldecoder("utf-8")().decode(start)
    except UnicodeDecodeError:
        return False
    return CONTROL.search(text) is None
