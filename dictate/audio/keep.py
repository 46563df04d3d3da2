"""Writes sound to disk before it goes on, so that a crash loses none that was heard.

The file is a WAV file whose header is written first and corrected at the end. After a crash its
sizes are still those of an empty recording; ``repair_recording`` sets them from the length of
the file. Until then ``FileSource`` reads it all the same and says that it was not closed.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from pathlib import Path

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, Around, AudioChunk, AudioSource
from dictate.errors import InputError, StorageError

#: Bytes before the sound: RIFF, fmt and the head of data (Microsoft and IBM 1991).
HEADER_BYTES = 44
#: Sizes are 32 bits wide; after this many bytes of sound (37 hours) no more fit.
MOST_BYTES = 0xFFFFFFFF - HEADER_BYTES
#: Missing sound of at most this length is kept as silence, so that times stay true (seconds).
LONGEST_SILENCE_S = 600.0
#: Sound is brought through to the disk itself at least this often (seconds of sound).
SYNC_S = 0.25


class KeptSource(Around):
    """A source around another: each chunk is on disk before it is handed on."""

    def __init__(self, source: AudioSource, path: Path) -> None:
        """Wrap a source.

        Args:
            source: Where the sound comes from.
            path: The recording to write, a new file, for its owner alone.
        """
        super().__init__(source)
        self._path = path

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the chunks of the source, each after it is kept.

        Raises:
            InputError: The source cannot be read.
            StorageError: The file is there already or cannot be written; what was written
                before stays.
        """
        recording = Recording(self._path)
        try:
            for chunk in self._source.chunks():
                recording.write(chunk)
                yield chunk
        finally:
            recording.close()


def repair_recording(path: Path) -> bool:
    """Close a recording that a crash left open.

    Args:
        path: A file that ``KeptSource`` wrote.

    Returns:
        True where something had to be repaired.

    Raises:
        InputError: The file is no recording of ours.
        StorageError: It cannot be read or written.
    """
    try:
        with path.open("r+b") as file:
            start = file.read(HEADER_BYTES)
            length = os.fstat(file.fileno()).st_size - HEADER_BYTES
            if len(start) < HEADER_BYTES or start[8:40] != _header(0)[8:40]:
                raise InputError(f"{path} is no recording of dictate. Name one that it kept.")
            length -= length % SAMPLE_BYTES  # half a sample at the very end of a crash
            wanted = _header(length)
            if start == wanted and file.seek(0, os.SEEK_END) == HEADER_BYTES + length:
                return False
            file.truncate(HEADER_BYTES + length)
            file.seek(0)
            file.write(wanted)
            file.flush()
            os.fsync(file.fileno())
            return True
    except OSError as error:
        raise StorageError(
            f"The recording {path} cannot be repaired: {error.strerror}. "
            "Check that it is there and may be written."
        ) from None


class Recording:
    """An open WAV file that grows by whole chunks."""

    def __init__(self, path: Path, go_on: bool = False) -> None:
        """Open a recording.

        Args:
            path: A new file; with ``go_on`` one that is whole (see ``repair_recording``).
            go_on: Write on at its end.

        Raises:
            StorageError: It cannot be written, or is there already.
        """
        self._path = path
        self._length = self._synced = 0
        flags = os.O_WRONLY | (0 if go_on else os.O_CREAT | os.O_EXCL)
        try:
            self._file = os.open(path, flags, 0o600)
        except OSError as error:
            raise self._explain(error) from None
        try:
            if go_on:
                self._length = self._synced = max(0, os.fstat(self._file).st_size - HEADER_BYTES)
            self._write(_header(0))
            os.lseek(self._file, HEADER_BYTES + self._length, os.SEEK_SET)
        except StorageError:
            os.close(self._file)
            if not go_on:
                path.unlink(missing_ok=True)
            raise

    @property
    def end_s(self) -> float:
        """How much sound is in it, in seconds."""
        return self._length / (RATE_HZ * SAMPLE_BYTES)

    def write(self, chunk: AudioChunk) -> None:
        """Write a chunk at its place in time.

        On return it outlives this program; within ``SYNC_S`` of sound it outlives a power cut.

        Raises:
            StorageError: There is no room; what was written of the chunk is taken back.
        """
        whole = self._length
        missing = round(chunk.start_s * RATE_HZ) - self._length // SAMPLE_BYTES
        try:
            if 0 < missing <= LONGEST_SILENCE_S * RATE_HZ:
                self._append(bytes(missing * SAMPLE_BYTES))
            self._append(chunk.samples)
        except StorageError:
            self._length = whole
            os.lseek(self._file, HEADER_BYTES + whole, os.SEEK_SET)
            raise
        if self._length - self._synced >= SYNC_S * RATE_HZ * SAMPLE_BYTES:
            self.sync()

    def sync(self) -> None:
        """Bring what is written through to the disk itself.

        Raises:
            StorageError: The disk refuses.
        """
        try:
            os.fsync(self._file)
        except OSError as error:
            raise self._explain(error) from None
        self._synced = self._length

    def close(self) -> None:
        """Correct the header and close the file."""
        try:
            os.ftruncate(self._file, HEADER_BYTES + self._length)
            os.lseek(self._file, 0, os.SEEK_SET)
            self._write(_header(self._length))
            os.fsync(self._file)
        except OSError as error:
            raise self._explain(error) from None
        finally:
            os.close(self._file)

    def _append(self, samples: bytes) -> None:
        if self._length + len(samples) > MOST_BYTES:
            raise StorageError(
                f"The recording {self._path} is as long as it can be. Stop, and begin another."
            )
        self._write(samples)
        self._length += len(samples)

    def _write(self, data: bytes) -> None:
        """Write all of it: a write may stop in the middle without an error."""
        left = memoryview(data)
        try:
            while left:
                left = left[os.write(self._file, left) :]
        except OSError as error:
            raise self._explain(error) from None

    def _explain(self, error: OSError) -> StorageError:
        return StorageError(
            f"The recording cannot be kept in {self._path}: {error.strerror}. "
            "Make room, or name a new file where writing is allowed."
        )


def _header(length: int) -> bytes:
    """The header for so many bytes of 16 kHz mono int16; zero sizes mean "not closed"."""
    whole = length + HEADER_BYTES - 8 if length else 0
    return struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF", whole, b"WAVE", b"fmt ", 16, 1, 1, RATE_HZ, RATE_HZ * SAMPLE_BYTES,
        SAMPLE_BYTES, 8 * SAMPLE_BYTES, b"data", length,
    )  # fmt: skip
