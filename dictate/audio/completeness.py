"""Whether a sound file is as long as its own headers say: a copy that broke off is not.

A decoder stops at the end of what is there without a word, so this reads the sizes that the
container itself states. Containers: RIFF (Microsoft and IBM 1991), ISO base media (ISO/IEC
14496-12, box sizes), Matroska (RFC 9559, segment size), Ogg (RFC 3533, end-of-stream flag).
Others are left to the comparison of the stated with the decoded duration.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import BinaryIO, Literal

Completeness = Literal["whole", "cut_off", "not_closed", "unknown"]

#: Bytes that a header may be wrong by: sloppy writers count the header or the padding in.
TOLERANCE_BYTES = 64
#: An Ogg page has at most this many bytes (RFC 3533, section 6).
_OGG_PAGE = 65_307
_EBML_UNKNOWN = 0x7F


def judge_completeness(path: Path) -> Completeness:
    """Compare the size of a file with what its container states.

    Args:
        path: A readable file.

    Returns:
        ``cut_off`` where bytes are missing at the end, ``not_closed`` where the recorder never
        wrote the final sizes, ``unknown`` for a container that states none.
    """
    with path.open("rb") as file:
        size = os.fstat(file.fileno()).st_size
        start = file.read(12)
        if start[:4] == b"RIFF":
            return _judge_riff(start, size)
        if start[4:8] in (b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip"):
            return _judge_boxes(file, size)
        if start[:4] == b"\x1a\x45\xdf\xa3":
            return _judge_matroska(file, size)
        if start[:4] == b"OggS":
            return _judge_ogg(file, size)
    return "unknown"


def _judge_riff(start: bytes, size: int) -> Completeness:
    stated = int.from_bytes(start[4:8], "little")
    if stated in (0, 0xFFFFFFFF):
        return "not_closed"
    return "cut_off" if stated + 8 > size + TOLERANCE_BYTES else "whole"


def _judge_boxes(file: BinaryIO, size: int) -> Completeness:
    """Walk the boxes of the top level; there must be a ``moov``, and none beyond the end."""
    position, found_moov = 0, False
    while position + 8 <= size:
        file.seek(position)
        header = file.read(16)
        length = int.from_bytes(header[:4], "big")
        found_moov = found_moov or header[4:8] == b"moov"
        if length == 0:  # the last box, up to the end of the file
            break
        if length == 1:
            length = int.from_bytes(header[8:16], "big")
        if length < 8:
            return "unknown"
        position += length
        if position > size:
            return "cut_off"
    return "whole" if found_moov else "cut_off"


def _judge_matroska(file: BinaryIO, size: int) -> Completeness:
    file.seek(4)
    header_length = _read_ebml_size(file)
    if header_length is None:
        return "unknown"
    file.seek(header_length, os.SEEK_CUR)
    if file.read(4) != b"\x18\x53\x80\x67":
        return "unknown"
    length = _read_ebml_size(file)
    if length is None:
        return "not_closed"
    return "cut_off" if file.tell() + length > size else "whole"


def _read_ebml_size(file: BinaryIO) -> int | None:
    """Read a variable-length number (RFC 8794, section 4); None where it says "unknown"."""
    first = file.read(1)
    if not first or first[0] == 0:
        return None
    extra = 8 - first[0].bit_length()
    value = first[0] & (_EBML_UNKNOWN >> extra)
    unknown = value == _EBML_UNKNOWN >> extra
    rest = file.read(extra)
    unknown = unknown and all(byte == 0xFF for byte in rest)
    return None if unknown else int.from_bytes(bytes([value]) + rest, "big")


def _judge_ogg(file: BinaryIO, size: int) -> Completeness:
    """The last page must be whole and must carry the end-of-stream flag."""
    file.seek(max(0, size - _OGG_PAGE))
    tail = file.read()
    at = tail.rfind(b"OggS")
    if at < 0 or len(tail) - at < 27:
        return "cut_off"
    segments = tail[at + 27 : at + 27 + tail[at + 26]]
    whole = len(segments) == tail[at + 26] and len(tail) - at >= 27 + len(segments) + sum(segments)
    return "whole" if whole and tail[at + 5] & 4 else "cut_off"
