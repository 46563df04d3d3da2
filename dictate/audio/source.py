"""What a source of sound is: chunks of 16 kHz mono sound, each with its place in time.

Every source (a file, a microphone) and everything wrapped around one (level meter, keeping on
disk) has this shape, so that they can be put one around the other in any order.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

#: Samples a second of all sound inside dictate.
RATE_HZ = 16_000
#: Bytes of one sample: little-endian signed 16 bit.
SAMPLE_BYTES = 2
#: Length in seconds of the chunks that a source hands on; the last one may be shorter.
CHUNK_S = 0.25


@dataclass(frozen=True, slots=True)
class AudioChunk:
    """A stretch of sound.

    Attributes:
        samples: 16 kHz mono, little-endian int16, a whole number of samples.
        start_s: Where it starts, in seconds from the start of the sound.
        clipped: Clipped peaks in it, where the source counted them before it resampled; None
            where the samples themselves can be looked at.
    """

    samples: bytes
    start_s: float
    clipped: int | None = None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / (SAMPLE_BYTES * RATE_HZ)

    @property
    def end_s(self) -> float:
        """Where it ends, in seconds from the start of the sound."""
        return self.start_s + self.duration_s


class AudioSource(Protocol):
    """Where sound comes from."""

    @property
    def duration_s(self) -> float | None:
        """Length in seconds, as far as it is known beforehand; None for a live source."""
        ...

    @property
    def notices(self) -> list[str]:
        """What the user should know about the sound; complete once ``chunks`` has ended."""
        ...

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the sound in order, without overlap.

        Raises:
            InputError: The sound cannot be read.
        """
        ...


class Around:
    """A source around another: what is known of the sound is what the inner one knows."""

    def __init__(self, source: AudioSource) -> None:
        """Wrap a source.

        Args:
            source: Where the sound comes from.
        """
        self._source = source

    @property
    def duration_s(self) -> float | None:
        """Length in seconds, as the source knows it."""
        return self._source.duration_s

    @property
    def notices(self) -> list[str]:
        """The notices of the source."""
        return self._source.notices


def clock(seconds: float) -> str:
    """Write a place in a recording as people read it.

    Args:
        seconds: Seconds from the start; a part of a second is dropped.

    Returns:
        ``mm:ss``, or ``h:mm:ss`` from one hour on.
    """
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes:02d}:{left:02d}"
