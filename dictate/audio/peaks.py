"""How far a recording swings, to draw it: its lowest and highest sample in every hundredth second.

Made as the sound goes by and kept in a file without a name, so that memory does not grow with the
recording; an hour takes 720 kB there. Coarser views are put together when they are asked for.
"""

from __future__ import annotations

import os
import tempfile
import threading

import numpy as np

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk

#: Samples of one column at level 0 (10 ms); each further level doubles it.
COLUMN = RATE_HZ // 100
#: Columns of one tile.
TILE = 1024
#: The coarsest level: 5.12 s a column.
LEVELS = 10
_PAIR = 2  # bytes of one column: lowest and highest, as signed bytes


class Peaks:
    """The peaks of one recording; added to by one thread, read by any."""

    def __init__(self) -> None:
        """Begin without sound."""
        self._file = tempfile.TemporaryFile(prefix="peaks-")  # noqa: SIM115  # lives as long as this
        self._lock = threading.Lock()
        self._columns = 0
        self._waiting = b""

    @property
    def seconds(self) -> float:
        """How much sound is in them."""
        return self._columns * COLUMN / RATE_HZ

    def add(self, chunk: AudioChunk) -> None:
        """Take the next stretch of sound."""
        samples = self._waiting + chunk.samples
        whole = len(samples) // (COLUMN * SAMPLE_BYTES) * COLUMN * SAMPLE_BYTES
        self._waiting = samples[whole:]
        self._write(samples[:whole])

    def end(self) -> None:
        """Take the part of a column that is left at the end."""
        left, self._waiting = self._waiting, b""
        if left:
            self._write(left.ljust(COLUMN * SAMPLE_BYTES, b"\x00"))

    def tile(self, level: int, number: int) -> bytes:
        """One tile: for each column its lowest and highest sample, as signed bytes.

        Args:
            level: 0 for 10 ms a column, each further one doubles that.
            number: From 0; a tile is 1,024 columns, the last one may be shorter.

        Raises:
            ValueError: There is no such level, or a negative number.
        """
        if not 0 <= level < LEVELS or number < 0:
            raise ValueError("no such tile")
        width = TILE << level
        with self._lock:
            columns = self._columns
        first = number * width
        count = max(0, min(width, columns - first))
        if not count:
            return b""
        data = os.pread(self._file.fileno(), count * _PAIR, first * _PAIR)
        pairs = np.frombuffer(data, np.int8).reshape(-1, _PAIR)
        starts = np.arange(0, len(pairs), 1 << level)
        lowest = np.minimum.reduceat(pairs[:, 0], starts)
        highest = np.maximum.reduceat(pairs[:, 1], starts)
        return np.stack([lowest, highest], axis=1).tobytes()

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()

    def _write(self, samples: bytes) -> None:
        if not samples:
            return
        columns = np.frombuffer(samples, "<i2").reshape(-1, COLUMN) >> 8
        pairs = np.stack([columns.min(axis=1), columns.max(axis=1)], axis=1).astype(np.int8)
        with self._lock:
            os.pwrite(self._file.fileno(), pairs.tobytes(), self._columns * _PAIR)
            self._columns += len(pairs)
