"""The folder of one dictation: its journal, its sound, and in the end its outputs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from dictate.errors import StorageError, UsageError
from dictate.examination.handing import HANDED_NAME
from dictate.journal.writing import JOURNAL_NAME
from dictate.listen.played import kept_s
from dictate.outputs import refuse_taken
from dictate.store import usual_library

#: Name of the recording in the folder.
SOUND_NAME = "sound.wav"


class DictationFolder:
    """Where the files of a dictation lie."""

    def __init__(self, path: Path) -> None:
        """Name a folder; nothing is made."""
        self.path = path
        self.journal = path / JOURNAL_NAME
        self.sound = path / SOUND_NAME

    def make(self) -> None:
        """Make it, for its owner alone.

        Raises:
            UsageError: A dictation or another examination is in it already.
            StorageError: It cannot be made.
        """
        if self.journal.exists() or self.sound.exists():
            raise UsageError(
                f"There is a dictation in {self.path} already. Go on with it by "
                f"'dictate resume {self.path}', or name another folder."
            )
        refuse_taken(self.path)
        try:
            missing = [p for p in (self.path, *self.path.parents) if not p.exists()]
            for part in reversed(missing):
                part.mkdir(mode=0o700)
        except OSError as fault:
            raise StorageError(
                f"The folder {self.path} cannot be made: {fault.strerror}. Name another one."
            ) from None

    def discard(self) -> None:
        """Take away what was made before any sound came; a folder with more in it stays."""
        for name in (JOURNAL_NAME, HANDED_NAME):
            (self.path / name).unlink(missing_ok=True)
        if not kept_s(self.sound):
            self.sound.unlink(missing_ok=True)
        if self.path.is_dir() and not any(self.path.iterdir()):
            self.path.rmdir()


def usual_folder(now: Callable[[], datetime] = datetime.now) -> Path:
    """A new folder in the user's library, named by the time."""
    stem = usual_library() / now().strftime("%Y-%m-%d-%H%M%S")
    folder, number = stem, 2
    while folder.exists():
        folder, number = stem.with_name(f"{stem.name}-{number}"), number + 1
    return folder
