"""Words that were heard earlier, from a file: JSON, one utterance a line.

A line is ``{"id", "text", "start", "end", "words": [{"text", "start", "end", "start_s",
"end_s", "confidence"}]}``, as in ``dictate.model``. Nothing in it is guessed or mended.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from dictate.audio.content import read_start
from dictate.audio.source import AudioSource
from dictate.errors import InputError, StorageError
from dictate.model import Utterance, Word
from dictate.recognise.typed import LARGEST_TEXT_BYTES, decode_typed

_UTTERANCE_KEYS = {"id", "text", "start", "end", "words"}
_WORD_KEYS = {"text", "start", "end", "start_s", "end_s", "confidence"}


class ReplayRecogniser:
    """Gives saved utterances out as the sound that they were heard in goes by."""

    name = "replay"

    def __init__(self, path: Path) -> None:
        """Read all saved utterances.

        Args:
            path: A file that ``write_utterances`` wrote.

        Raises:
            InputError: The file cannot be read or is not as it was written.
        """
        self._saved = read_utterances(path)

    def utterances(self, source: AudioSource) -> Iterator[Utterance]:
        """Yield each utterance once the sound has passed its end; the rest after the sound."""
        waiting = iter(self._saved)
        utterance = next(waiting, None)
        for chunk in source.chunks():
            while utterance is not None and (utterance.end or 0.0) <= chunk.end_s:
                yield utterance
                utterance = next(waiting, None)
        while utterance is not None:
            yield utterance
            utterance = next(waiting, None)


def write_utterances(path: Path, utterances: Iterable[Utterance]) -> None:
    """Save utterances, readable by their owner alone; an existing file is never overwritten.

    Raises:
        StorageError: The file cannot be written.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            for utterance in utterances:
                file.write(_to_line(utterance) + "\n")
    except FileExistsError:
        raise StorageError(f"{path} is there already. Choose another name.") from None
    except OSError as fault:
        raise StorageError(
            f"{path} cannot be written: {fault.strerror}. Choose another folder."
        ) from None


def read_utterances(path: Path) -> tuple[Utterance, ...]:
    """Read saved utterances.

    Raises:
        InputError: The file cannot be read, or a line is not as it was written.
    """
    text = decode_typed(read_start(path, LARGEST_TEXT_BYTES + 1), str(path))
    found: dict[str, Utterance] = {}
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            utterance = _from_line(line)
            if utterance.id in found:
                raise ValueError(f"the id {utterance.id} comes twice")
        except (ValueError, OverflowError, RecursionError) as fault:
            reason = "it is no JSON" if isinstance(fault, json.JSONDecodeError) else fault
            raise InputError(
                f"Line {number} of {path} is no saved utterance: {reason}. "
                "Correct that line, or have the sound recognised again."
            ) from None
        found[utterance.id] = utterance
    return tuple(found.values())


def _to_line(utterance: Utterance) -> str:
    words = [{key: getattr(word, key) for key in Word.__slots__} for word in utterance.words]
    saved = {
        "id": utterance.id,
        "text": utterance.text,
        "start": utterance.start,
        "end": utterance.end,
        "words": words,
    }
    return json.dumps(saved, ensure_ascii=False, allow_nan=False)


def _from_line(line: str) -> Utterance:
    saved = _with_keys(json.loads(line), _UTTERANCE_KEYS, "the utterance")
    text, words = _text(saved["text"], "text"), saved["words"]
    if not isinstance(words, list):
        raise ValueError("words is no list")  # noqa: TRY004 - one kind for a bad line
    read = tuple(_word(word, text) for word in words)
    for before, after in pairwise(read):
        if after.start < before.end:
            raise ValueError(f'the words "{before.text}" and "{after.text}" overlap')
    start, end = _times(saved["start"], saved["end"])
    return Utterance(_text(saved["id"], "id"), text, start, end, read)


def _word(saved: Any, text: str) -> Word:
    saved = _with_keys(saved, _WORD_KEYS, "a word")
    start, end = saved["start"], saved["end"]
    if type(start) is not int or type(end) is not int or not 0 <= start < end <= len(text):
        raise ValueError("start and end of a word lie outside the text")
    if text[start:end] != saved["text"]:
        raise ValueError(f'start and end of a word cut out "{text[start:end]}"')
    start_s, end_s = _times(saved["start_s"], saved["end_s"])
    confidence = _number(saved["confidence"], "confidence")
    if confidence is not None and confidence > 1:
        raise ValueError("confidence is more than 1")
    return Word(saved["text"], start, end, start_s, end_s, confidence)


def _with_keys(saved: Any, keys: set[str], what: str) -> dict[str, Any]:
    if not isinstance(saved, dict) or set(saved) != keys:
        raise ValueError(f"{what} must have exactly the keys {', '.join(sorted(keys))}")
    return saved


def _text(value: Any, key: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{key} is no text")
    return value


def _times(start: Any, end: Any) -> tuple[float | None, float | None]:
    first, last = _number(start, "a start"), _number(end, "an end")
    if (first is None) != (last is None) or (
        first is not None and last is not None and first > last
    ):
        raise ValueError("a start in seconds and its end do not fit together")
    return first, last


def _number(value: Any, key: str) -> float | None:
    """None, or a number of at least 0 (JSON's NaN and Infinity are none)."""
    if value is None:
        return None
    if type(value) not in (int, float) or not math.isfinite(value) or value < 0:
        raise ValueError(f"{key} is no number of at least 0")
    return float(value)
