"""Any sound file to 16 kHz samples, packet by packet, with PyAV (ffmpeg).

A decoder that meets damage either says so or simply goes on after the hole, so both are looked
for: packets that cannot be decoded, and jumps in the time stamps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import av

from dictate.audio.resample import Resampling, Sound
from dictate.audio.timeline import Hole, Timeline

if TYPE_CHECKING:
    from av.container import InputContainer

#: Kinds of container that may be opened. Play lists and the like are not among them: they
#: would send the decoder to other files or to the network.
CONTAINERS = (
    "wav,w64,aiff,au,caf,flac,ogg,mp3,aac,ac3,eac3,amr,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,"
    "avi,asf,flv,mpeg,mpegts,wv,ape,tta,dsf,voc"
)
#: Damaged places in a row after which reading further is given up.
PATIENCE = 256
_STRICT = {"err_detect": "crccheck+bitstream+buffer+explode"}


class NotSoundError(Exception):
    """The file cannot be opened as sound; for callers inside the package."""


class NoTrackError(NotSoundError):
    """The file can be opened, and has no sound track."""


@dataclass(frozen=True, slots=True)
class Header:
    """What the file says about itself; ``duration_s`` in seconds, None where it does not say."""

    container: str
    duration_s: float | None


@dataclass(frozen=True, slots=True)
class Fault:
    """Something at this second could not be decoded; None where the file does not tell when."""

    at_s: float | None


Piece = Sound | Hole | Fault


class _Unnamed:
    """An open file without its name: the decoder judges by the content alone."""

    def __init__(self, file: BinaryIO) -> None:
        self.read = file.read
        self.seek = file.seek
        self.tell = file.tell


def read_header(path: Path) -> Header:
    """Read what a file says about its sound.

    Args:
        path: A readable file.

    Raises:
        NotSoundError: It cannot be opened as sound.
        NoTrackError: It has no sound track.
    """
    with path.open("rb") as file, _open(file) as container:
        stream = _pick_track(container)
        duration = None
        if stream.duration is not None and stream.time_base is not None:
            duration = float(stream.duration * stream.time_base)
        elif container.duration is not None and not container.streams.video:
            duration = container.duration / av.time_base
        usable = duration is not None and duration > 0
        return Header(container.format.name, duration if usable else None)


def decode(path: Path) -> Iterator[Piece]:
    """Decode the first sound track of a file, in constant memory.

    Args:
        path: A readable file.

    Yields:
        The sound in order, with holes and faults where they are met.

    Raises:
        NotSoundError: It cannot be opened as sound.
        NoTrackError: It has no sound track.
    """
    with path.open("rb") as file, _open(file) as container:
        stream = _pick_track(container)
        stream.codec_context.options = dict(_STRICT)
        timeline = Timeline()
        resampling = Resampling()
        for found in _decode_packets(container, stream, timeline):
            if isinstance(found, Fault):
                yield found
                continue
            hole = timeline.place(found)
            if hole is not None:
                yield from resampling.end()
                yield hole
            yield from resampling.convert(found)
        yield from resampling.end()


def _open(file: BinaryIO) -> InputContainer:
    options = {"format_whitelist": CONTAINERS, "protocol_whitelist": "none"}
    try:
        return av.open(_Unnamed(file), mode="r", options=options, metadata_errors="replace")
    except (av.FFmpegError, OSError, ValueError) as error:
        raise NotSoundError(str(error)) from error


def _pick_track(container: InputContainer) -> Any:
    tracks = container.streams.audio
    if not tracks:
        raise NoTrackError("no sound track")
    if tracks[0].codec_context is None:
        raise NotSoundError("no decoder for the sound track")
    return tracks[0]


def _decode_packets(
    container: InputContainer, stream: Any, timeline: Timeline
) -> Iterator[av.AudioFrame | Fault]:
    """Decode packet by packet; damage gives a Fault, much damage in a row ends it."""
    packets = container.demux(stream)
    patience = PATIENCE
    while patience:
        at_s = timeline.end_s
        try:
            packet = next(packets)
            at_s = timeline.tell(packet.pts, packet.time_base, at_s)
            for frame in packet.decode():
                patience = PATIENCE
                yield frame
        except (StopIteration, av.error.EOFError):
            return
        except (av.FFmpegError, OSError, ValueError):
            patience -= 1
            yield Fault(at_s)
