"""Reads a journal back; what cannot be read is told, never guessed."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dictate.errors import InputError
from dictate.journal.writing import FORMATS


@dataclass(frozen=True, slots=True)
class Journalled:
    """What a journal holds.

    Attributes:
        events: Its lines, in order, each as written.
        notices: What is damaged or missing, in sentences.
        size: How many bytes its whole lines have.
    """

    events: tuple[dict[str, Any], ...]
    notices: tuple[str, ...]
    size: int = 0

    @property
    def next_number(self) -> int:
        """The number of the line that would follow."""
        return int(self.events[-1]["n"]) + 1 if self.events else 1


def read_journal(path: Path) -> Journalled:
    """Read a journal.

    Args:
        path: The file.

    Raises:
        InputError: It is no journal of ours, or of a format that is not known.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"There is no journal of a dictation in {path.parent}: {error.strerror}. "
            "Name the folder that 'dictate listen' wrote."
        ) from None
    events: list[dict[str, Any]] = []
    notices: list[str] = []
    lines = data.split(b"\n")
    for number, line in enumerate(lines, 1):
        entry = _read_line(line)
        if entry is not None:
            notices += _tell_missing(events, entry)
            if not events or entry["n"] > events[-1]["n"]:
                events.append(entry)
        elif line.strip():
            cut = number == len(lines)
            told = "is cut off" if cut else "cannot be read"
            notices.append(f"line {number} of the journal {told} and was left out")
    _check_start(path, events)
    return Journalled(tuple(events), tuple(notices), len(data) - len(lines[-1]))


class Tail:
    """Follows a journal that another program writes: the whole lines since the last look."""

    def __init__(self, path: Path, offset: int = 0, last: int = 0) -> None:
        """Begin.

        Args:
            path: The journal.
            offset: How many bytes of it are known.
            last: The number of the last line that is known.
        """
        self._path, self._offset, self._last = path, offset, last

    def more(self) -> list[dict[str, Any]]:
        """The lines that are new; none where nothing is, or the file cannot be read now."""
        try:
            with self._path.open("rb") as file:
                file.seek(self._offset)
                data = file.read()
        except OSError:
            return []
        whole, line_end, _ = data.rpartition(b"\n")
        self._offset += len(whole) + len(line_end)
        found = []
        for line in whole.split(b"\n"):
            entry = _read_line(line)
            if entry is not None and entry["n"] > self._last:
                self._last = entry["n"]
                found.append(entry)
        return found


def _read_line(line: bytes) -> dict[str, Any] | None:
    try:
        entry = json.loads(line.decode())
    except (ValueError, RecursionError):
        return None
    if not isinstance(entry, dict) or type(entry.get("n")) is not int:
        return None
    return entry if isinstance(entry.get("event"), str) else None


def _tell_missing(events: list[dict[str, Any]], entry: dict[str, Any]) -> list[str]:
    """Lines are numbered without a gap, so one that has gone is seen."""
    expected = events[-1]["n"] + 1 if events else 1
    missing = entry["n"] - expected
    if missing <= 0:
        return []
    what = "a line is" if missing == 1 else f"{missing} lines are"
    return [f"{what} missing in the journal before number {entry['n']}"]


def _check_start(path: Path, events: list[dict[str, Any]]) -> None:
    if not events:
        raise InputError(f"The journal {path} holds nothing that can be read.")
    formats = [e.get("format") for e in events if e["event"] in ("started", "opened")]
    unknown = [number for number in formats if number not in FORMATS]
    if unknown:
        known = " and ".join(map(str, FORMATS))
        raise InputError(
            f"The journal {path} has format {unknown[0]}, and this program knows {known} alone. "
            "Use the version of dictate that wrote it."
        )
