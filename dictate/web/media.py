"""What a recording is, for the browser: judged by its content and never by its name."""

from __future__ import annotations

import functools
from pathlib import Path

from dictate.audio.content import read_start

#: First bytes of a kind of file, where they stand, and its media type (IANA).
_KINDS = (
    (0, b"RIFF", "audio/wav"),
    (0, b"fLaC", "audio/flac"),
    (0, b"OggS", "audio/ogg"),
    (0, b"ID3", "audio/mpeg"),
    (0, b"\xff\xfb", "audio/mpeg"),
    (0, b"\xff\xf3", "audio/mpeg"),
    (0, b"\xff\xf1", "audio/aac"),
    (4, b"ftyp", "video/mp4"),
    (0, b"\x1aE\xdf\xa3", "video/webm"),
)
_OTHER = "application/octet-stream"


@functools.lru_cache(maxsize=8)
def media_type(path: Path) -> str:
    """The media type of a recording; a general one where it is not known.

    Raises:
        InputError: It cannot be read.
    """
    start = read_start(path, 16)
    return next((kind for at, mark, kind in _KINDS if start[at:].startswith(mark)), _OTHER)


def has_picture(path: Path) -> bool:
    """Whether it is a video that a browser may show."""
    import av

    if not media_type(path).startswith("video/"):
        return False
    try:
        with av.open(str(path)) as container:
            streams = container.streams.video
            return any(s.disposition & 1024 == 0 and s.average_rate for s in streams)
    except (av.FFmpegError, OSError, ValueError):
        return False
