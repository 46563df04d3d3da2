"""Recordings in the place of a microphone: one to practise with, or one to be read again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic

from dictate.audio.file import FileSource
from dictate.audio.keep import HEADER_BYTES
from dictate.audio.microphone import BLOCK_S
from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk
from dictate.errors import InputError

_BLOCK_BYTES = int(BLOCK_S * RATE_HZ) * SAMPLE_BYTES


class PlayedSource:
    """A recording that comes in blocks, as from a microphone."""

    def __init__(
        self, path: Path, start_s: float = 0.0, speed: float = 1.0,
        clock: Callable[[], float] = monotonic,
    ) -> None:  # fmt: skip
        """Open a recording.

        Args:
            path: A sound file.
            start_s: Where its sound starts, in seconds of the dictation.
            speed: How much faster than in life it is played; 0 for as fast as can be.
            clock: Seconds that go on with the time of day.

        Raises:
            InputError: It cannot be read.
        """
        self._source = FileSource(path)
        self._start_s, self._speed, self._clock = start_s, speed, clock
        self._stopped = threading.Event()
        self.duration_s: float | None = None

    @property
    def notices(self) -> list[str]:
        """What is damaged in the recording."""
        return self._source.notices

    def stop(self) -> None:
        """Let the chunks end soon; may be called from any thread."""
        self._stopped.set()

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield blocks of 50 ms, each when its last sample would have been heard.

        Raises:
            InputError: The recording cannot be read any more.
        """
        began_s = self._clock()
        for chunk in self._source.chunks():
            for at in range(0, len(chunk.samples), _BLOCK_BYTES):
                block = AudioChunk(
                    chunk.samples[at : at + _BLOCK_BYTES],
                    self._start_s + chunk.start_s + at / (RATE_HZ * SAMPLE_BYTES),
                )
                due_s = (block.end_s - self._start_s) / self._speed if self._speed else 0.0
                if self._stopped.wait(max(0.0, began_s + due_s - self._clock())):
                    return
                yield block


def kept_blocks(path: Path, from_s: float) -> Iterator[AudioChunk]:
    """Read a recording of ours again, from a moment on.

    Args:
        path: A whole recording (see ``repair_recording``).
        from_s: Where to begin, in seconds from its start.

    Raises:
        InputError: It cannot be read.
    """
    at = int(from_s * RATE_HZ) * SAMPLE_BYTES
    try:
        with path.open("rb") as file:
            file.seek(HEADER_BYTES + at)
            while block := file.read(_BLOCK_BYTES):
                yield AudioChunk(block[: len(block) // 2 * 2], at / (RATE_HZ * SAMPLE_BYTES))
                at += len(block)
    except OSError as fault:
        raise InputError(f"{path} cannot be read: {fault.strerror}. Check the disk.") from None


def kept_s(path: Path) -> float:
    """Length in seconds of a whole recording of ours; 0 where there is none."""
    if not path.exists():
        return 0.0
    return max(0, path.stat().st_size - HEADER_BYTES) / (RATE_HZ * SAMPLE_BYTES)
