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


#: How documents begin that are made of text and are no typed narration (after blanks, in small
#: letters): ISO 32000-2 (PDF), Adobe's PostScript and Microsoft's RTF specifications, HTML and XML.
_DOCUMENTS = {
    b"%pdf-": "a PDF document",
    b"%!ps": "a PostScript document",
    b"{\\rtf": "a document of a word processor",
    b"<!doctype": "a web page",
    b"<html": "a web page",
    b"<?xml": "an XML document",
    b"<svg": "a picture",
}
#: How sound and video begin: WAV and AVI, FLAC, Ogg, MP3 with a tag, Matroska, AIFF.
_SOUNDS = (b"RIFF", b"fLaC", b"OggS", b"ID3", b"\x1aE\xdf\xa3", b"FORM")


def refuse_document(start: bytes, name: str) -> None:
    """Make sure that something is no document in which text is only a part.

    Args:
        start: Its first bytes.
        name: What a message calls it.

    Raises:
        InputError: It is one.
    """
    first = start.removeprefix(codecs.BOM_UTF8).lstrip()[:16].lower()
    for sign, what in _DOCUMENTS.items():
        if first.startswith(sign):
            raise InputError(
                f"{name} is {what}, not typed text. Copy its text into a plain text file."
            )


def is_binary(start: bytes) -> bool:
    """Tell whether bytes are surely sound or another file of no text, whatever its encoding.

    Text in an older encoding is not: it has no sign of sound and few control characters.
    """
    start = start[:LOOKED_AT]
    wide = start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    controls = sum(byte < 9 or 13 < byte < 32 for byte in start)
    return start.startswith(_SOUNDS) or (not wide and controls * 20 > len(start))


def is_sound_file(path: Path) -> bool:
    """Tell whether a file is to be read as sound.

    Text (UTF-8 without control characters) is text whatever its name; anything else is tried
    as sound, and ``FileSource`` says so clearly where it is none.

    Args:
        path: The file.

    Returns:
        False for text, True for anything else.

    Raises:
        InputError: The file is missing, empty, no file, a document or cannot be read.
    """
    start = read_start(path)
    refuse_document(start, str(path))
    return not is_text(start)


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
