"""Any sound file to 16 kHz samples, packet by packet: the one place that imports PyAV (ffmpeg).

A decoder that meets damage either says so or simply goes on after the hole, so both are looked
for: packets that cannot be decoded, and jumps in the time stamps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import av
import numpy as np
from numpy.typing import NDArray

from dictate.audio.clipping import count_clipped_peaks
from dictate.audio.source import RATE_HZ
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
class Sound:
    """Decoded samples, int16 at 16 kHz, one row a channel.

    ``clipped`` counts the clipped peaks of what went in, at the rate of the recording.
    """

    samples: NDArray[np.int16]
    clipped: int = 0


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
        resampling = _Resampling()
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


class LiveResampling:
    """Brings blocks of a live sound to 16 kHz; less than a millisecond stays inside."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        """Prepare.

        Args:
            rate_hz: Samples a second of what comes in.
            channels: Its channels.
        """
        self._rate_hz, self._layout = rate_hz, f"{channels}c"
        self._resampling = _Resampling()

    def convert(self, block: NDArray[np.int16]) -> Sound:
        """Convert the next block.

        Args:
            block: int16, one row a channel.
        """
        joined = np.ascontiguousarray(block)
        frame = av.AudioFrame.from_ndarray(joined, format="s16p", layout=self._layout)
        frame.sample_rate = self._rate_hz
        parts = list(self._resampling.convert(frame))
        clipped = sum(part.clipped for part in parts)
        empty = np.zeros((len(block), 0), np.int16)
        return Sound(np.concatenate([empty, *(p.samples for p in parts)], axis=1), clipped)


class _Resampling:
    """Brings frames to 16 kHz int16, and starts anew where their shape changes."""

    def __init__(self) -> None:
        self._to_int16: av.AudioResampler | None = None
        self._to_16_khz: av.AudioResampler | None = None
        self._shape: tuple[str, str, int] | None = None

    def convert(self, frame: av.AudioFrame) -> Iterator[Sound]:
        """Convert one frame; some of it may come out only with the next."""
        shape = (frame.format.name, frame.layout.name, frame.rate)
        if shape != self._shape:
            yield from self.end()
            self._to_int16 = av.AudioResampler("s16p", frame.layout, frame.rate)
            self._to_16_khz = av.AudioResampler("s16p", frame.layout, RATE_HZ)
            self._shape = shape
        assert self._to_int16 is not None
        frame.pts = None  # times are kept by the timeline
        for whole in self._to_int16.resample(frame):
            clipped = count_clipped_peaks(_samples(whole), frame.rate)
            yield from self._resample(whole, clipped)

    def end(self) -> Iterator[Sound]:
        """Hand out what is still inside."""
        if self._to_16_khz is not None:
            yield from self._resample(None, 0)
        self._to_int16 = self._to_16_khz = self._shape = None

    def _resample(self, frame: av.AudioFrame | None, clipped: int) -> Iterator[Sound]:
        assert self._to_16_khz is not None
        if frame is not None:
            frame.pts = None
        for converted in self._to_16_khz.resample(frame):
            yield Sound(_samples(converted), clipped)
            clipped = 0
        if clipped:  # nothing has come out yet
            yield Sound(np.zeros((1, 0), np.int16), clipped)


def _samples(frame: av.AudioFrame) -> NDArray[np.int16]:
    return frame.to_ndarray().astype(np.int16, copy=False)
