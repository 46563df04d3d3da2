"""A recording or a text read into an examination's folder, once or once more.

The first reading makes the folder; another one of the same recording, or of a text, takes the
place of what was heard before. What was decided by hand stays.
"""

from __future__ import annotations

import re
from pathlib import Path

from dictate.errors import DictateError, UsageError
from dictate.examination.examination import Examination
from dictate.examination.handing import HANDED_NAME
from dictate.grammar.load import load_grammar
from dictate.journal.writing import JOURNAL_NAME
from dictate.model import Record, Utterance, UtteranceKind
from dictate.session import Session
from dictate.store import copy_private, sha256_of

#: Name of a recording in the folder, before its ending.
_SOUND = "sound"
#: An ending that is kept, since it tells a player what the file is.
_ENDING = re.compile(r"\.[a-z0-9]{1,5}")


class Narration:
    """What ``narrate`` reads into; it takes utterances as a session does.

    Attributes:
        examination: Whose it is.
        grammar: Its grammar.
    """

    def __init__(
        self,
        folder: Path,
        recording: Path | None,
        grammar: Path | None = None,
        program: str = "note",
    ) -> None:
        """Begin, or begin once more.

        Args:
            folder: Of the examination.
            recording: A sound or video file, which is copied into the folder; None for text.
            grammar: A folder of grammar files; None for the program's own.
            program: What reads it; others are told so.

        Raises:
            UsageError: Another examination is in the folder, or it is signed, or somebody else
                writes to it.
            StorageError: It cannot be written.
        """
        self._new = not (folder / JOURNAL_NAME).exists()
        self._known = folder.is_dir()
        if self._new:
            load_grammar(grammar)
            self.examination = Examination.create(folder, program, grammar)
        else:
            self.examination = Examination.open(folder, program)
        self.grammar = self.examination.grammar
        try:
            self._prepare(folder, recording)
        except DictateError:
            self.abandon()
            raise

    def take(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance."""
        meant = self._session.settle(utterance)
        kind = self._session.take(meant)
        self.examination.lines.write_later("utterance", utterance=meant, kind=kind)
        return kind

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know."""
        if sentence not in self._session.record().notices:
            self._session.notice(sentence)
            self.examination.lines.write_later("notice", sentence=sentence)

    def record(self) -> Record:
        """The record so far."""
        return self._session.record()

    def finish(self) -> Examination:
        """It was read to its end, and counts from now on.

        Raises:
            StorageError: It is not on disk.
        """
        self.examination.end_reading(self._before)
        return self.examination

    def abandon(self) -> None:
        """It could not be read: an examination that was there before is as it was."""
        folder = self.examination.folder
        self.examination.close()
        if not self._new:
            return
        for name in (JOURNAL_NAME, HANDED_NAME, self._sound or ""):
            if name:
                (folder / name).unlink(missing_ok=True)
        if not self._known and not any(folder.iterdir()):
            folder.rmdir()

    # ---- inside

    _sound: str | None = None

    def _prepare(self, folder: Path, recording: Path | None) -> None:
        examination = self.examination
        facts = examination.facts
        if not examination.writes:
            raise UsageError(
                f"'dictate {examination.held_by}' is writing to {folder}. Close it there first."
            )
        if not self._new:
            self._may_be_read_again(folder, recording)
        if recording is not None and facts.sound is None:
            ending = recording.suffix.lower()
            self._sound = _SOUND + (ending if _ENDING.fullmatch(ending) else "")
            copy_private(recording, folder / self._sound)
            examination.keep_sound(self._sound)
        self._before = examination.live()
        if self._new:
            self._session = examination.fold.session
        else:
            self._session = Session(self.grammar)
            examination.lines.write_later("reading", why="read again")

    def _may_be_read_again(self, folder: Path, recording: Path | None) -> None:
        facts = self.examination.facts
        other = f"There is another examination in {folder}. Name another folder."
        if facts.program == "listen":
            raise UsageError(
                f"There is a dictation in {folder}. Open it by 'dictate review {folder}', or name "
                "another folder."
            )
        if any(event["event"] == "signed" for event in self.examination.fold.events):
            raise UsageError(f"The examination in {folder} is signed. Name another folder.")
        if (recording is None) != (facts.sound is None):
            raise UsageError(other)
        if recording is not None and sha256_of(recording) != facts.sound_sha256:
            raise UsageError(other)
