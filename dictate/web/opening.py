"""What 'dictate review' was given: an examination's folder, a recording or a text."""

from __future__ import annotations

import os
import shutil
import threading
from pathlib import Path

from dictate.audio.content import is_sound_file
from dictate.audio.file import FileSource
from dictate.audio.levels import LevelMeter
from dictate.audio.peaks import Peaks
from dictate.audio.source import clock
from dictate.errors import DictateError, InputError, StorageError
from dictate.examination import Examination
from dictate.listen.folder import usual_folder
from dictate.listen.played import kept_blocks, kept_s
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.three import ThreeRecogniser, find_listeners
from dictate.recognise.typed import read_typed, typed_utterances
from dictate.store import make_folder
from dictate.web.desk import Desk
from dictate.web.media import has_picture

#: Name of the recording in the folder; its own name may say who was examined.
SOUND_STEM = "sound"
#: Endings that are kept, so that other programs know the file too.
_ENDINGS = {
    ".wav", ".flac", ".ogg", ".oga", ".opus", ".mp3", ".m4a", ".mp4", ".mov", ".webm", ".mkv",
    ".aac", ".aiff",
}  # fmt: skip
#: How often a growing recording is looked at (seconds).
_LOOK_S = 1.0


Listeners = PairRecogniser | ThreeRecogniser


class Opened:
    """An examination on its desk, and the work that goes on behind it."""

    def __init__(self, desk: Desk, recogniser: Listeners | None = None) -> None:
        """Put it together.

        Args:
            desk: With the examination.
            recogniser: What reads its recording, if that was not read yet.
        """
        self.desk = desk
        self._recogniser = recogniser
        self._stopped = threading.Event()
        self._threads: list[threading.Thread] = []

    def begin(self) -> None:
        """Begin to draw the recording, and to read it where nobody did."""
        sound = self.desk.examination.sound
        if sound is None:
            return
        live = self.desk.examination.held_by == "listen"
        self.desk.tell_from_thread(sound=not live, video=has_picture(sound))
        self._start(self._draw_growing if live else self._draw, sound)
        if self._recogniser is not None:
            self._start(self._read, sound)

    def close(self) -> None:
        """Stop the work, and let go of the examination."""
        self._stopped.set()
        for thread in self._threads:
            thread.join()
        self.desk.close()

    def _start(self, work: object, sound: Path) -> None:
        thread = threading.Thread(target=work, args=(sound,), daemon=True)  # type: ignore[arg-type]
        self._threads.append(thread)
        thread.start()

    def _draw(self, sound: Path) -> None:
        peaks, told_s = self.desk.peaks, 0.0
        try:
            for chunk in FileSource(sound).chunks():
                if self._stopped.is_set():
                    return
                peaks.add(chunk)
                if peaks.seconds > 2 * told_s + 10:
                    told_s = peaks.seconds
                    self.desk.tell_from_thread(seconds=told_s)
        except DictateError as fault:
            self.desk.tell_from_thread(trouble=str(fault))
        peaks.end()
        self.desk.tell_from_thread(seconds=peaks.seconds)

    def _draw_growing(self, sound: Path) -> None:
        peaks = self.desk.peaks
        while not self._stopped.wait(_LOOK_S):
            if kept_s(sound) <= peaks.seconds:
                continue
            try:
                for block in kept_blocks(sound, peaks.seconds):
                    peaks.add(block)
            except InputError:
                continue  # it is tried again
            self.desk.tell_from_thread(seconds=peaks.seconds)

    def _read(self, sound: Path) -> None:
        """Hear the recording, one utterance after the other."""
        examination, recogniser = self.desk.examination, self._recogniser
        assert recogniser is not None
        source = LevelMeter(FileSource(sound))
        read_s, heard = 0.0, 0
        self.desk.tell_from_thread(reading="The recording is being read.")
        try:
            for utterance in recogniser.utterances(source):
                if self._stopped.is_set():
                    examination.notice(f"the recording was read up to {clock(read_s)} only")
                    return
                examination.hear(utterance)
                heard, read_s = heard + 1, utterance.end or read_s
                whole = f" of {clock(source.duration_s)}" if source.duration_s else ""
                self.desk.tell_from_thread(reading=f"Read: {clock(read_s)}{whole}")
            for sentence in (*source.notices, *recogniser.notices):
                examination.notice(sentence)
            if not heard:
                self.desk.tell_from_thread(trouble="Nothing was heard in the recording.")
        except DictateError as fault:
            self.desk.tell_from_thread(trouble=str(fault))
        finally:
            self.desk.tell_from_thread(reading="")


def open_for_review(
    path: Path, grammar: Path | None = None, out: Path | None = None, third: bool = False
) -> Opened:
    """Open what was named.

    Args:
        path: The folder of an examination; or a recording or a text, of which one is made.
        grammar: A folder of grammar files, for a new examination.
        out: The folder of a new examination; left out, one in the user's data folder.
        third: Let a third listener hear a recording too.

    Raises:
        DictateError: It cannot be opened or read.
    """
    if path.is_dir():
        return Opened(Desk(Examination.open(path), Peaks()))
    folder = out or usual_folder()
    if not is_sound_file(path):
        return Opened(Desk(_typed(path, folder, grammar), Peaks()))
    FileSource(path)  # a file without sound is refused before anything is made
    from dictate.grammar import load_grammar

    recogniser = find_listeners(load_grammar(grammar), third)
    name = _bring(path, folder)
    examination = Examination.create(folder, "review", grammar, sound=name)
    return Opened(Desk(examination, Peaks()), recogniser)


def _typed(path: Path, folder: Path, grammar: Path | None) -> Examination:
    utterances = list(typed_utterances(read_typed(path)))
    if not utterances:
        raise InputError(f"{path.name} says nothing. Give a narration, one statement a line.")
    examination = Examination.create(folder, "review", grammar)
    for utterance in utterances:
        examination.hear(utterance)
    return examination


def _bring(path: Path, folder: Path) -> str:
    """Copy a recording into the folder, for its owner alone."""
    ending = path.suffix.casefold()
    name = SOUND_STEM + (ending if ending in _ENDINGS else "")
    make_folder(folder)
    try:
        handle = os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as copy, path.open("rb") as original:
            shutil.copyfileobj(original, copy, 1 << 20)
            copy.flush()
            os.fsync(copy.fileno())
    except OSError as fault:
        raise StorageError(
            f"The recording cannot be copied to {folder}: {fault.strerror}. Name another folder."
        ) from None
    return name
