"""The file of weights of the adapted listener: read and written with numpy alone.

Format (version 6 of the binary format of the open program CTranslate2, as its specification file
shows): version, name of the kind of model, its revision; each tensor's name, dimensions, type and
bytes; then names that stand for others. Numbers are little-endian.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from dictate.errors import ModelError

Tensor = NDArray[Any]
#: Types by their number in the file.
_TYPES = {0: "<f4", 1: "<i1", 2: "<i2", 3: "<i4", 4: "<f2"}
_NUMBERS = {np.dtype(name): number for number, name in _TYPES.items()}
#: No model of ours has more tensors, dimensions or bytes in one (a damaged file names any number).
_MOST_TENSORS, _MOST_RANK, _MOST_BYTES = 4096, 4, 1 << 29


@dataclass(frozen=True, slots=True)
class Weights:
    """A file's content: ``kind`` and ``revision`` of the model, its tensors, and the aliases."""

    kind: str
    revision: int
    tensors: Mapping[str, Tensor]
    aliases: tuple[tuple[str, str], ...]


def read_weights(path: Path) -> Weights:
    """Read a file of weights.

    Raises:
        ModelError: It is none, or it is cut off; a clause.
        OSError: It cannot be read.
    """
    with path.open("rb") as file:
        try:
            (version,) = _unpack("I", file)
            if version != 6:
                raise ModelError(f"{path.name} is of version {version}, not 6")
            kind = _text(file)
            revision, count = _unpack("II", file)
            if count > _MOST_TENSORS:
                raise ModelError(f"{path.name} is no file of weights")
            tensors = dict(_tensor(file) for _ in range(count))
            (count,) = _unpack("I", file)
            aliases = tuple((_text(file), _text(file)) for _ in range(min(count, _MOST_TENSORS)))
        except (struct.error, ValueError, UnicodeDecodeError, KeyError, OverflowError):
            raise ModelError(f"{path.name} is damaged or no file of weights") from None
    return Weights(kind, revision, tensors, aliases)


def write_weights(weights: Weights, path: Path) -> None:
    """Write a file of weights; the same weights give the same bytes.

    Raises:
        OSError: It cannot be written.
    """
    with path.open("wb") as file:
        file.write(struct.pack("<I", 6) + _as_text(weights.kind))
        file.write(struct.pack("<II", weights.revision, len(weights.tensors)))
        for name, tensor in weights.tensors.items():
            file.write(_as_text(name) + struct.pack("<B", tensor.ndim))
            file.write(struct.pack(f"<{tensor.ndim}I", *tensor.shape))
            file.write(struct.pack("<BI", _NUMBERS[tensor.dtype], tensor.nbytes))
            file.write(np.ascontiguousarray(tensor).tobytes())
        file.write(struct.pack("<I", len(weights.aliases)))
        for alias in weights.aliases:
            file.write(_as_text(alias[0]) + _as_text(alias[1]))


def hashes(weights: Weights) -> dict[str, str]:
    """The SHA-256 of each tensor: name, type, dimensions and bytes."""
    return dict(_hash(name, tensor) for name, tensor in weights.tensors.items())


def _hash(name: str, tensor: Tensor) -> tuple[str, str]:
    head = f"{name} {tensor.dtype.str} {tensor.shape} ".encode()
    return name, hashlib.sha256(head + np.ascontiguousarray(tensor).tobytes()).hexdigest()


def _tensor(file: BinaryIO) -> tuple[str, Tensor]:
    name = _text(file)
    (rank,) = _unpack("B", file)
    if rank > _MOST_RANK:
        raise ValueError(rank)
    shape = _unpack(f"{rank}I", file)
    number, size = _unpack("BI", file)
    if size > _MOST_BYTES:
        raise ValueError(size)
    return name, np.frombuffer(_take(file, size), _TYPES[number]).reshape(shape)


def _text(file: BinaryIO) -> str:
    (size,) = _unpack("H", file)
    return _take(file, size)[:-1].decode()


def _as_text(text: str) -> bytes:
    data = text.encode() + b"\0"
    return struct.pack("<H", len(data)) + data


def _unpack(form: str, file: BinaryIO) -> tuple[int, ...]:
    return struct.unpack(f"<{form}", _take(file, struct.calcsize(f"<{form}")))


def _take(file: BinaryIO, size: int) -> bytes:
    data = file.read(size)
    if len(data) < size:
        raise ValueError("cut off")
    return data


def parts(weights: Weights, beginning: str) -> Iterator[tuple[str, Tensor]]:
    """The tensors whose names begin so."""
    return ((n, t) for n, t in weights.tensors.items() if n.startswith(beginning))
