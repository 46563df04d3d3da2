"""Typed or pasted text: one utterance a line, without times."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from dictate.audio.content import is_binary, read_start, refuse_document
from dictate.errors import InputError
from dictate.model import Utterance

#: Ends of lines: the usual three, and what word processors and pasted pages use (Unicode
#: newline function, Unicode 15, section 5.8).
_LINE_END = re.compile("\r\n|[\n\r\x0b\x0c\x85\u2028\u2029]")
#: Not of any typed text: control characters but the tab, and halves of surrogate pairs.
_NOT_TYPED = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")
_BYTE_ORDER_MARK = "\ufeff"
#: More than a day's typing; what is larger is no narration (bytes).
LARGEST_TEXT_BYTES = 10_000_000


class TypedRecogniser:
    """Reads text as it was typed; the recogniser that needs no model."""

    name = "typed"

    def utterances(self, source: str | bytes) -> Iterator[Utterance]:
        """Yield each line that is not blank, exactly as typed.

        Args:
            source: The text; bytes are taken as UTF-8.

        Raises:
            InputError: It is no text. Raised before the first line is handed out.
        """
        return typed_utterances(decode_text(source) if isinstance(source, bytes) else source)


def typed_utterances(text: str) -> Iterator[Utterance]:
    """Cut text into utterances, one a line; blank lines give none, a byte order mark is dropped.

    Args:
        text: The text; all of it is checked before the first line is handed out.

    Raises:
        InputError: It holds characters that are not text.
    """
    text = text.removeprefix(_BYTE_ORDER_MARK)
    _refuse_control_characters(text)
    return _split(text)


def read_typed(path: Path | None) -> str:
    """Read typed text from a file, or from standard input.

    Args:
        path: The file; None for standard input.

    Raises:
        InputError: It is missing, empty, too large, sound, a document or no UTF-8 text.
    """
    most = LARGEST_TEXT_BYTES + 1
    if path is not None:
        return decode_text(read_start(path, most))
    data = sys.stdin.buffer.read(most)
    refuse_document(data, "Standard input")
    if is_binary(data):
        raise InputError("Standard input is no text. Give a recording by the name of its file.")
    return decode_text(data)


def decode_text(data: bytes) -> str:
    """Decode typed text.

    Args:
        data: The bytes of a file or a pipe.

    Raises:
        InputError: They are too many, or not UTF-8.
    """
    if len(data) > LARGEST_TEXT_BYTES:
        raise InputError(
            f"The text is too long. Give at most {LARGEST_TEXT_BYTES // 1_000_000} million bytes."
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"The text is not in UTF-8 (line {line}). Save it as UTF-8 and read it again."
        ) from None


def _refuse_control_characters(text: str) -> None:
    found = _NOT_TYPED.search(text)
    if found is not None:
        line = len(_LINE_END.findall(text, 0, found.start())) + 1
        raise InputError(
            f"Line {line} holds a character that nobody types (U+{ord(found.group()):04X}). "
            "Give plain text, or a recording if it is one."
        )


def _split(text: str) -> Iterator[Utterance]:
    number, start = 0, 0
    while start <= len(text):
        found = _LINE_END.search(text, start)
        line = text[start : found.start()] if found else text[start:]
        start = found.end() if found else len(text) + 1
        if line.strip():
            number += 1
            yield Utterance(id=f"u{number}", text=line)
