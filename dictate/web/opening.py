"""What 'dictate review' was given: an examination's folder, a recording or a text."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from dictate.audio.content import is_sound_file
from dictate.audio.file import FileSource
from dictate.audio.peaks import Peaks
from dictate.audio.source import clock
from dictate.errors import DictateError, InputError
from dictate.examination import Examination
from dictate.examination.facts import facts_of
from dictate.examination.fold import FAULTS
from dictate.examination.narration import Narration
from dictate.grammar import load_grammar
from dictate.journal.reading import read_journal
from dictate.journal.writing import JOURNAL_NAME
from dictate.listen.folder import usual_folder
from dictate.listen.played import kept_blocks, kept_s
from dictate.model import Utterance
from dictate.narrate import narrate
from dictate.recognise.ear import find_listeners
from dictate.web.desk import Desk
from dictate.web.media import has_picture
from dictate.web.shown import first_shown

#: How this program calls itself where others ask who writes.
PROGRAM = "review"
#: How often a growing recording is looked at (seconds).
_LOOK_S = 1.0
#: Lines of a journal that are followed before the page is there (about a second); of a longer one
#: the page shows the words meanwhile.
_LONG = 150


class _Stopped(Exception):
    """The page was closed before the recording was read to its end."""


class Opened:
    """An examination on its desk, and the work that goes on behind it."""

    def __init__(
        self, desk: Desk, folder: Path, narration: Narration | None = None, third: bool = False
    ) -> None:
        """Put it together.

        Args:
            desk: With the examination, or without it while that is to be opened.
            folder: Of the examination.
            narration: What its recording is read into, if that was not read to its end.
            third: Let a third listener hear it too.
        """
        self.desk, self.folder = desk, folder
        self._narration, self._third = narration, third
        self._stopped = threading.Event()
        self._threads: list[threading.Thread] = []
        if not desk.waits:
            self._show_sound()

    def begin(self) -> None:
        """Begin to draw the recording, and to read it where nobody did."""
        if self.desk.waits:
            self._start(self._open, self.folder)
        else:
            self._begin_sound()

    def _open(self, folder: Path) -> None:
        """Follow a long history, while its words are shown already."""
        try:
            self.desk.put(Examination.open(folder, PROGRAM, tell=self._opened_so_far))
        except _Stopped:
            return
        except DictateError as fault:
            self.desk.fail(fault)
            return
        self._show_sound()
        self._begin_sound()

    def _opened_so_far(self, done: int, whole: int) -> None:
        if self._stopped.is_set():
            raise _Stopped
        self.desk.tell_from_thread(reading=f"Being opened: {done} of {whole}")

    def _show_sound(self) -> None:
        """Let the recording be played, or say that a dictation goes on."""
        examination = self.desk.examination
        sound = examination.sound
        if sound is None:
            return
        live = examination.held_by == "listen"
        self.desk.tell_from_thread(
            sound=None if live else sound,
            video=has_picture(sound),
            listening=_listens(examination) if live else None,
        )

    def _begin_sound(self) -> None:
        sound = self.desk.examination.sound
        if sound is None:
            return
        live = self.desk.examination.held_by == "listen"
        self._start(self._draw_growing if live else self._draw, sound)
        if self._narration is not None:
            self._start(self._read, sound)

    def close(self) -> None:
        """Stop the work, and let go of the examination."""
        self._stopped.set()
        for thread in self._threads:
            thread.join()
        self.desk.close()

    def _start(self, work: Callable[[Path], None], sound: Path) -> None:
        thread = threading.Thread(target=work, args=(sound,), daemon=True)
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
        narration = self._narration
        assert narration is not None
        self.desk.tell_from_thread(reading="The recording is being read.")
        hears = _Hears(self.desk, narration, self._stopped)
        try:
            narrate(hears, sound, self._progress, self._third)
            self.desk.wait_for(narration.finish)
        except _Stopped:
            return  # it is read again when it is opened again
        except DictateError as fault:
            self.desk.tell_from_thread(trouble=str(fault))
        self.desk.tell_from_thread(reading="")

    def _progress(self, done_s: float, whole_s: float | None, _: str) -> None:
        whole = f" of {clock(whole_s)}" if whole_s else ""
        self.desk.tell_from_thread(reading=f"Read: {clock(done_s)}{whole}")


class _Hears:
    """Takes utterances for a narration, in turn with everything else that is done to it."""

    def __init__(self, desk: Desk, narration: Narration, stopped: threading.Event) -> None:
        self._desk, self._narration, self._stopped = desk, narration, stopped
        self.grammar = narration.grammar

    def take(self, utterance: Utterance) -> None:
        """Take one utterance, unless the page was closed."""
        if self._stopped.is_set():
            raise _Stopped
        self._desk.wait_for(lambda: self._narration.take(utterance))
        self._desk.tell_from_thread()

    def notice(self, sentence: str) -> None:
        """Take a notice."""
        self._desk.wait_for(lambda: self._narration.notice(sentence))


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
        return _opened(path, third)
    folder = out or usual_folder()
    if not is_sound_file(path):
        return Opened(Desk(_typed(path, folder, grammar), Peaks()), folder)
    FileSource(path)  # a file without sound is refused before anything is made,
    find_listeners(load_grammar(grammar), third)  # and so is one that nothing can read here
    narration = Narration(folder, path, grammar, PROGRAM)
    return Opened(Desk(narration.examination, Peaks()), folder, narration, third)


def _opened(folder: Path, third: bool) -> Opened:
    events = read_journal(folder / JOURNAL_NAME).events
    broken_off = facts_of(events).program == PROGRAM and not any(
        event["event"] == "read" for event in events
    )
    if len(events) > _LONG and not broken_off:
        with suppress(*FAULTS):  # which are told where it is opened
            return Opened(Desk(None, Peaks(), first_shown(events)), folder)
    examination = Examination.open(folder, PROGRAM)
    sound = examination.sound
    if examination.writes and sound is not None and broken_off:
        # it was closed before its recording was read to the end
        examination.close()
        narration = Narration(folder, sound, None, PROGRAM)
        return Opened(Desk(narration.examination, Peaks()), folder, narration, third)
    return Opened(Desk(examination, Peaks()), folder)


def _listens(examination: Examination) -> bool:
    """Whether the dictation that holds it is listening now."""
    states = [event for event in examination.events() if event["event"] == "state"]
    return bool(states[-1]["listening"]) if states else True


def _typed(path: Path, folder: Path, grammar: Path | None) -> Examination:
    narration = Narration(folder, None, grammar, PROGRAM)
    try:
        narrate(narration, path)
        return narration.finish()
    except BaseException:
        narration.abandon()
        raise
