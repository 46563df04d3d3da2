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

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk, AudioSource
from dictate.errors import InputError, StorageError

#: Bytes before the sound: RIFF, fmt and the head of data (Microsoft and IBM 1991).
HEADER_BYTES = 44
#: Sizes are 32 bits wide; after this many bytes of sound (37 hours) no more fit.
MOST_BYTES = 0xFFFFFFFF - HEADER_BYTES
#: Missing sound of at most this length is kept as silence, so that times stay true (seconds).
LONGEST_SILENCE_S = 600.0


class KeptSource:
    """A source around another: each chunk is on disk before it is handed on."""

    def __init__(self, source: AudioSource, path: Path) -> None:
        """Wrap a source.

        Args:
            source: Where the sound comes from.
            path: The recording to write, a new file, for its owner alone.
        """
        self._source = source
        self._path = path

    @property
    def duration_s(self) -> float | None:
        """Length in seconds, as the source knows it."""
        return self._source.duration_s

    @property
    def notices(self) -> list[str]:
        """The notices of the source."""
        return self._source.notices

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the chunks of the source, each after it is kept.

        Raises:
            InputError: The source cannot be read.
            StorageError: The file is there already or cannot be written; what was written
                before stays.
        """
        recording = _Recording(self._path)
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


class _Recording:
    """An open WAV file that grows by whole chunks."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._length = 0
        try:
            self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise self._explain(error) from None
        try:
            self._write(_header(0))
        except StorageError:
            os.close(self._file)
            raise

    def write(self, chunk: AudioChunk) -> None:
        """Write a chunk at its place in time; it is on disk on return."""
        missing = round(chunk.start_s * RATE_HZ) - self._length // SAMPLE_BYTES
        if 0 < missing <= LONGEST_SILENCE_S * RATE_HZ:
            self._append(bytes(missing * SAMPLE_BYTES))
        self._append(chunk.samples)
        try:
            os.fsync(self._file)
        except OSError as error:
            raise self._explain(error) from None

    def close(self) -> None:
        """Correct the header and close the file."""
        try:
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
