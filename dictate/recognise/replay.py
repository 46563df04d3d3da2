"""Words that were heard earlier, with their times and confidence: written and read back.

One utterance a line, as JSON with exactly the keys ``id``, ``text``, ``start``, ``end`` and
``words``, and where several listened ``hearings``, ``disputed`` and ``readings``; the parts have
the keys of their classes in ``model.py``. Read strictly: a file that says something else is
refused with the line, not guessed at.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import asdict
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

from dictate.errors import InputError, StorageError
from dictate.model import Disputed, DisputeKind, Hearing, Reading, Utterance, Word

_UTTERANCE_KEYS = {"id", "text", "start", "end", "words"}
_SEVERAL_LISTENED = {"hearings", "disputed", "readings"}
_WORD_KEYS = {"text", "start", "end", "start_s", "end_s", "confidence"}
_HEARING_KEYS = {"listener", "text", "words"}
_READING_KEYS = {"behind", "text", "words", "disputed", "hearing"}
_DISPUTED_KEYS = {"start", "end", "instead", "listener", "kind"}


class ReplayRecogniser:
    """Hears again what was saved."""

    name = "replay"

    def utterances(self, source: Path) -> Iterator[Utterance]:
        """Yield the utterances of a file of saved words.

        Args:
            source: A file that ``write_utterances`` wrote.

        Raises:
            InputError: The file cannot be read, or a line of it is not understood.
        """
        try:
            with source.open(encoding="utf-8") as lines:
                yield from read_utterances(lines, str(source))
        except (OSError, UnicodeDecodeError) as error:
            reason = getattr(error, "strerror", None) or "it is not in UTF-8"
            raise InputError(
                f"The saved words {source} cannot be read: {reason}. Check the file."
            ) from None


def read_utterances(lines: Iterable[str], name: str) -> Iterator[Utterance]:
    """Read saved utterances.

    Args:
        lines: One utterance each; blank lines are skipped.
        name: What to call the file in a message.

    Raises:
        InputError: A line is not understood, or an id comes twice.
    """
    seen: set[str] = set()
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            utterance = _read_utterance(json.loads(line, object_pairs_hook=_refuse_twice))
            if utterance.id in seen:
                raise ValueError(f"the id {utterance.id!r} comes twice")
        except (ValueError, OverflowError, RecursionError) as error:
            problem = error if type(error) is ValueError else "it is no whole JSON line"
            raise InputError(
                f"{name}, line {number}: {problem}. Save the words again, or correct the line."
            ) from None
        seen.add(utterance.id)
        yield utterance


def write_utterances(path: Path, utterances: Iterable[Utterance]) -> Iterator[Utterance]:
    """Save utterances as they come, each on disk before it is handed on.

    Args:
        path: A new file, made readable by its owner alone.
        utterances: What a recogniser hears; the kind, which it does not know, is not saved.

    Yields:
        The same utterances.

    Raises:
        StorageError: The file is there already or cannot be written.
    """
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except OSError as error:
        raise _cannot_save(path, error) from None
    with open(file, "w", encoding="utf-8") as out:
        for utterance in utterances:
            try:
                out.write(format_utterance(utterance) + "\n")
                out.flush()
                os.fsync(file)
            except OSError as error:
                raise _cannot_save(path, error) from None
            yield utterance


def format_utterance(utterance: Utterance) -> str:
    """Write one utterance as a line (without its end)."""
    entry: dict[str, Any] = {
        "id": utterance.id,
        "text": utterance.text,
        "start": utterance.start,
        "end": utterance.end,
        "words": [_word_entry(word) for word in utterance.words],
    }
    if utterance.hearings or utterance.disputed:
        entry["hearings"] = [_hearing_entry(hearing) for hearing in utterance.hearings]
        entry["disputed"] = [asdict(stretch) for stretch in utterance.disputed]
    if utterance.readings:
        entry["readings"] = [_reading_entry(reading) for reading in utterance.readings]
    return json.dumps(entry, ensure_ascii=False, allow_nan=False)


def _hearing_entry(hearing: Hearing) -> dict[str, Any]:
    words = [_word_entry(word) for word in hearing.words]
    return {"listener": hearing.listener, "text": hearing.text, "words": words}


def _reading_entry(reading: Reading) -> dict[str, Any]:
    return {
        "behind": reading.behind,
        "text": reading.text,
        "words": [_word_entry(word) for word in reading.words],
        "disputed": [asdict(stretch) for stretch in reading.disputed],
        "hearing": _hearing_entry(reading.hearing),
    }


def _word_entry(word: Word) -> dict[str, Any]:
    entry = asdict(word)
    if word.agreed is None:
        del entry["agreed"]
    return entry


def _read_utterance(entry: Any) -> Utterance:
    _check_keys(entry, _UTTERANCE_KEYS, "an utterance", _SEVERAL_LISTENED)
    identity, text = _take_text(entry, "id"), _take_text(entry, "text")
    start, end = _take_times(entry, "start", "end")
    words = _read_words(entry["words"], text)
    hearings = tuple(_read_hearing(one) for one in _take_list(entry, "hearings"))
    disputed = tuple(_read_disputed(one, text) for one in _take_list(entry, "disputed"))
    readings = tuple(_read_reading(one) for one in _take_list(entry, "readings"))
    return Utterance(
        identity, text, start, end, words,
        hearings=hearings, disputed=disputed, readings=readings,
    )  # fmt: skip


def _read_reading(entry: Any) -> Reading:
    _check_keys(entry, _READING_KEYS, "a reading")
    behind, text = _take_number(entry, "behind"), _take_text(entry, "text")
    if behind is None or behind < 0:
        raise ValueError("'behind' must be a number that is not below 0")
    words = _read_words(entry["words"], text)
    disputed = tuple(_read_disputed(one, text) for one in _take_list(entry, "disputed"))
    return Reading(behind, text, words, disputed, _read_hearing(entry["hearing"]))


def _read_hearing(entry: Any) -> Hearing:
    _check_keys(entry, _HEARING_KEYS, "a hearing")
    if not isinstance(entry["text"], str):
        raise ValueError("'text' must be a text")
    words = _read_words(entry["words"], entry["text"])
    return Hearing(_take_text(entry, "listener"), entry["text"], words)


def _read_disputed(entry: Any, text: str) -> Disputed:
    _check_keys(entry, _DISPUTED_KEYS, "a disputed stretch", also={"lead"})
    start, end, kind = entry["start"], entry["end"], entry["kind"]
    if type(start) is not int or type(end) is not int or not 0 <= start <= end <= len(text):
        raise ValueError("a disputed stretch lies outside its text")
    if kind not in get_args(DisputeKind):
        raise ValueError(f"{kind!r} is no kind of a disputed stretch")
    if not isinstance(entry["instead"], str):
        raise ValueError("'instead' must be a text")
    lead = entry.get("lead")
    if lead is not None and (type(lead) not in (int, float) or not math.isfinite(lead)):
        raise ValueError("'lead' must be a number")
    listener = _take_text(entry, "listener")
    return Disputed(start, end, entry["instead"], listener, kind, lead)


def _take_list(entry: dict[str, Any], key: str) -> list[Any]:
    value = entry.get(key, [])
    if not isinstance(value, list):
        raise ValueError(f"{key!r} must be a list")
    return value


def _read_words(entries: Any, text: str) -> tuple[Word, ...]:
    if not isinstance(entries, list):
        raise ValueError("'words' must be a list")
    words = tuple(_read_word(word, text) for word in entries)
    for before, after in pairwise(words):
        if after.start < before.end:
            raise ValueError(f"the word {after.text!r} starts before the one in front of it ends")
    return words


def _read_word(entry: Any, text: str) -> Word:
    _check_keys(entry, _WORD_KEYS, "a word", {"agreed"})
    said = _take_text(entry, "text")
    start, end = entry["start"], entry["end"]
    if type(start) is not int or type(end) is not int or not 0 <= start < end <= len(text):
        raise ValueError(f"the word {said!r} lies outside its text")
    if text[start:end] != said:
        raise ValueError(f"the word {said!r} is not what its text holds at {start} to {end}")
    start_s, end_s = _take_times(entry, "start_s", "end_s")
    confidence = _take_number(entry, "confidence")
    if confidence is not None and not 0 <= confidence <= 1:
        raise ValueError(f"the confidence {confidence} is not between 0 and 1")
    agreed = entry.get("agreed")
    if not (agreed is None or isinstance(agreed, bool)):
        raise ValueError("'agreed' must be true, false or null")
    return Word(said, start, end, start_s, end_s, confidence, agreed)


def _check_keys(
    entry: Any, wanted: set[str], what: str, also: AbstractSet[str] = frozenset()
) -> None:
    if not isinstance(entry, dict):
        raise ValueError(f"{what} must be an object in braces")
    for key in entry:
        if key not in wanted and key not in also:
            raise ValueError(f"{key!r} is no key of {what}")
    for key in sorted(wanted):
        if key not in entry:
            raise ValueError(f"{what} lacks {key!r}")


def _take_text(entry: dict[str, Any], key: str) -> str:
    value = entry[key]
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{key!r} must be a text that is not blank")
    return value


def _take_number(entry: dict[str, Any], key: str) -> float | None:
    value = entry[key]
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{key!r} must be a number or null")
    return float(value)


def _take_times(entry: dict[str, Any], first: str, last: str) -> tuple[float | None, float | None]:
    start, end = _take_number(entry, first), _take_number(entry, last)
    if (start is None) != (end is None):
        raise ValueError(f"{first!r} and {last!r} must both be numbers, or both null")
    if start is not None and end is not None and not 0 <= start <= end:
        raise ValueError(f"{first!r} and {last!r} must not go backwards")
    return start, end


def _refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entry = dict(pairs)
    if len(entry) != len(pairs):
        raise ValueError("a key comes twice")
    return entry


def _cannot_save(path: Path, error: OSError) -> StorageError:
    return StorageError(
        f"The words cannot be saved in {path}: {error.strerror}. "
        "Name a new file where there is room."
    )
