"""A volunteer reads invented examinations aloud; the recording stays here, the figures may go.

In the folder: ``consent.txt`` (what was agreed to, and when), ``sound.wav``, ``marks.jsonl`` (where
which line was read), ``figures.txt``. All are for their owner alone.
"""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from typing import Protocol

from dictate.audio.keep_on import KeptOnSource
from dictate.audio.levels import LevelMeter
from dictate.audio.source import AudioSource
from dictate.bench.cases import examinations
from dictate.bench.reading import Line, Mark, Reading
from dictate.errors import DictateError, InputError, StorageError, UsageError
from dictate.store import make_folder

CONSENT, SOUND, MARKS, FIGURES = "consent.txt", "sound.wav", "marks.jsonl", "figures.txt"
Tell = Callable[[str], None]
Show = Callable[[int, Line], None]


class Stops(AudioSource, Protocol):
    """A source of sound that can be told to end."""

    def stop(self) -> None:
        """Let the chunks end soon; from any thread."""
        ...


def consent_for(folder: Path) -> str:
    """What a volunteer is asked to agree to."""
    text = (files("dictate.bench") / CONSENT).read_text("utf-8")
    return text.format(folder=folder.resolve())


def keep_consent(folder: Path, text: str) -> None:
    """Keep what was agreed to, and when; the folder is made.

    Raises:
        UsageError: There is something in the folder.
        StorageError: It cannot be written.
    """
    if folder.exists() and any(folder.iterdir()):
        raise UsageError(f"There is something in {folder}. Name a new folder.")
    make_folder(folder)
    when = datetime.now(UTC).isoformat(timespec="seconds")
    write(folder / CONSENT, f"{text}\nAgreed at {when} (UTC).\n")


def lines_of(count: int) -> list[Line]:
    """The lines of the first examinations, so many.

    Raises:
        UsageError: There are not so many.
    """
    whole = examinations()
    if not 1 <= count <= len(whole):
        raise UsageError(f"There are {len(whole)} examinations to read. Name 1 to {len(whole)}.")
    return [
        Line(case, number, text)
        for case, lines in enumerate(whole[:count])
        for number, text in enumerate(lines)
    ]


def read_aloud(
    folder: Path,
    source: Stops,
    lines: Sequence[Line],
    show: Show,
    tell: Tell,
    slipped: threading.Event,
) -> list[Mark]:
    """Record while the lines are read one after the other.

    Args:
        folder: Where sound and marks are kept; the sound is on disk before it is judged.
        source: Where the sound comes from.
        lines: What is to be read.
        show: Shows the line that is to be read now.
        tell: Takes a sentence about trouble, and about the recording at its end.
        slipped: Set when the reader wants to read the line again.

    Returns:
        The marks of the examinations that were read to their end.

    Raises:
        InputError: The sound cannot be read.
        UsageError: There is no microphone, or no examination was read to its end.
        StorageError: The marks cannot be kept.
    """
    meter = LevelMeter(KeptOnSource(source, folder / SOUND, tell))
    reading = Reading(lines, show)
    try:
        for chunk in meter.chunks():  # to its end, so that the recording is closed
            if slipped.is_set():
                slipped.clear()
                reading.again()
            reading.take(chunk)
            if reading.over:
                source.stop()
    except DictateError:
        if not (folder / SOUND).exists():  # there was no sound at all: nobody agreed to anything
            (folder / CONSENT).unlink(missing_ok=True)
            folder.rmdir()
        raise
    reading.finish()
    for sentence in meter.notices:
        tell(f"Notice: {sentence}.")
    whole = reading.whole()
    kept = [mark for mark in reading.marks if mark.case in whole]
    write(folder / MARKS, "".join(json.dumps(asdict(mark)) + "\n" for mark in kept))
    if not kept:
        raise UsageError(
            "No examination was read to its end, so there are no figures. Begin again with another "
            f"folder; what was recorded is in {folder}."
        )
    return kept


def kept_marks(folder: Path) -> list[Mark]:
    """The marks of a recording that was made before.

    Raises:
        InputError: There are none in the folder, or they are damaged.
    """
    try:
        text = (folder / MARKS).read_text("utf-8")
        found = [Mark(**json.loads(line)) for line in text.splitlines()]
        count = len(examinations())
        if not found or not all(0 <= mark.case < count for mark in found):
            raise ValueError
        return found
    except FileNotFoundError:
        raise InputError(
            f"There is no recording of read lines in {folder}. Make one: dictate bench record."
        ) from None
    except (OSError, ValueError, TypeError):
        raise InputError(f"{folder / MARKS} is damaged. Record anew in another folder.") from None


def write(path: Path, text: str) -> None:
    """Write a file for its owner alone.

    Raises:
        StorageError: It cannot be written.
    """
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write(text)
    except OSError as fault:
        raise StorageError(f"{path} cannot be written: {fault.strerror}. Make room.") from None
