"""Keeps live sound on disk, and goes on in memory where the disk refuses."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic

from dictate.audio.keep import LONGEST_SILENCE_S, Recording
from dictate.audio.source import Around, AudioChunk, AudioSource
from dictate.errors import StorageError

#: How long to wait before the disk is tried again (seconds).
RETRY_S = 1.0
#: So much sound waits in memory at most (seconds; 19 MB). As much as may be silence in a
#: recording, so that times stay true where the oldest of it has to go.
MOST_WAITING_S = LONGEST_SILENCE_S


class KeptOnSource(Around):
    """A source around another: its sound is on disk before it is handed on, if it can be."""

    def __init__(
        self,
        source: AudioSource,
        path: Path,
        tell: Callable[[str], None],
        go_on: bool = False,
        clock: Callable[[], float] = monotonic,
    ) -> None:
        """Wrap a live source.

        Args:
            source: Where the sound comes from.
            path: The recording to write.
            tell: Takes a sentence when the disk refuses, and when all is well again.
            go_on: The file is there and is continued.
            clock: Seconds that go on with the time of day.
        """
        super().__init__(source)
        self._path, self._tell, self._clock = path, tell, clock
        self._go_on = go_on
        self._recording: Recording | None = None
        self._waiting: deque[AudioChunk] = deque()
        self._again_s: float | None = None
        self._lost = False

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the chunks of the source, each after it is kept or waits to be kept.

        Raises:
            InputError: The source cannot be read.
        """
        try:
            for chunk in self._source.chunks():
                self._keep(chunk)
                yield chunk
        finally:
            self._end()

    def _keep(self, chunk: AudioChunk) -> None:
        self._waiting.append(chunk)
        if self._again_s is not None and self._clock() < self._again_s:
            self._forget(chunk.end_s)
            return
        try:
            self._write_waiting()
        except StorageError as fault:
            self._refused(fault)
            self._forget(chunk.end_s)
        else:
            self._went_well()

    def _write_waiting(self) -> None:
        if self._recording is None:
            self._recording = Recording(self._path, self._go_on)
            self._go_on = True
        while self._waiting:
            chunk = self._waiting[0]
            if self._recording.end_s < chunk.end_s - 0.5 * chunk.duration_s:
                self._recording.write(chunk)
            self._waiting.popleft()  # else it was written, and only the disk's answer was not well

    def _refused(self, fault: StorageError) -> None:
        if self._again_s is None:
            self._tell(f"{fault} The sound is kept in memory until then; dictation goes on.")
        self._again_s = self._clock() + RETRY_S

    def _went_well(self) -> None:
        if self._again_s is not None:
            self._again_s = None
            self._tell("The sound is kept on disk again.")

    def _forget(self, now_s: float) -> None:
        while self._waiting and now_s - self._waiting[0].end_s > MOST_WAITING_S:
            self._waiting.popleft()
            if not self._lost:
                self._lost = True
                self._tell("There is no more room for sound: the oldest of it is not kept.")

    def _end(self) -> None:
        try:
            self._write_waiting()
            if self._recording is not None:
                self._recording.close()
        except StorageError as fault:
            self._tell(f"The end of the sound is not on disk. {fault}")
