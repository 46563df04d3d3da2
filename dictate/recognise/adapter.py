"""The adapter that came out of teaching: what it is, and how it is added to the open weights.

Added with numpy alone and one product after the other, so that every machine makes the same bytes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from dictate.errors import ModelError
from dictate.recognise.weights import Tensor, Weights, read_weights, write_weights

#: Files of an adapter.
FILE, MANIFEST = "adapter.bin", "adapter.json"
#: The kind of model that a file of an adapter says it is.
KIND = "DictateAdapter"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an adapter was made of.

    Attributes:
        base: What the open weights are called.
        tensors: The SHA-256 of each tensor of the open weights (``weights.hashes``).
        sha256: That of the adapter's file.
        merged: That of the weights with the adapter added.
        grammar: A hash of everything that the grammar lets be spoken (``phrases.spoken_hash``).
        seed: Of this adapter's training.
        rank: Of the products.
        taught: What it was taught with (voices, clips, hours, steps).
        figures: What was measured with it, by name.
        gaps: For each kind of difference how much likelier the words of the adapted and of the
            taught listener must be to stand (nats; null where that was not fitted).
    """

    base: str
    tensors: Mapping[str, str]
    sha256: str
    merged: str
    grammar: str
    seed: int
    rank: int
    taught: Mapping[str, Any] = field(default_factory=dict)
    figures: Mapping[str, Any] = field(default_factory=dict)
    gaps: Mapping[str, tuple[float | None, float | None]] = field(default_factory=dict)


def read_manifest(folder: Path) -> Manifest:
    """The manifest of the adapter in a folder.

    Raises:
        ModelError: There is none, or it is damaged; a clause.
    """
    try:
        return Manifest(**json.loads((folder / MANIFEST).read_text("utf-8")))
    except FileNotFoundError:
        raise ModelError(f"there is no adapter in {folder}") from None
    except (OSError, ValueError, TypeError):
        raise ModelError(f"{MANIFEST} in {folder} is damaged") from None


def write_manifest(manifest: Manifest, folder: Path) -> None:
    """Write a manifest.

    Raises:
        OSError: It cannot be written.
    """
    text = json.dumps(asdict(manifest), indent=1, ensure_ascii=False)
    (folder / MANIFEST).write_text(text + "\n", encoding="utf-8")


def save_adapter(thin: Mapping[str, tuple[Tensor, Tensor]], path: Path) -> None:
    """Write an adapter.

    Args:
        thin: For each adapted weight the thin matrices "down" (rank, in) and "up" (out, rank).
        path: The file.

    Raises:
        OSError: It cannot be written.
    """
    tensors: dict[str, Tensor] = {}
    for name, (down, up) in sorted(thin.items()):
        tensors[f"{name}/down"] = np.asarray(down, "<f2")
        tensors[f"{name}/up"] = np.asarray(up, "<f2")
    write_weights(Weights(KIND, 1, tensors, ()), path)


def load_adapter(folder: Path, manifest: Manifest) -> Weights:
    """Read the adapter's file, and make sure that it is the one of the manifest.

    Raises:
        ModelError: It is missing, cut off or altered; a clause.
    """
    path = folder / FILE
    try:
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != manifest.sha256:
                raise ModelError(f"{FILE} in {folder} has been cut off or altered")
        return read_weights(path)
    except FileNotFoundError:
        raise ModelError(f"there is no {FILE} in {folder}") from None
    except OSError as error:
        raise ModelError(f"{path} cannot be read: {error.strerror}") from None


def merge(base: Weights, adapter: Weights) -> Weights:
    """Add an adapter to the open weights.

    Args:
        base: The open weights, float16.
        adapter: As ``load_adapter`` gives it.

    Raises:
        ModelError: It belongs to other weights; a clause.
    """
    tensors = dict(base.tensors)
    for name in [n.removesuffix("/down") for n in adapter.tensors if n.endswith("/down")]:
        if name not in tensors:
            raise ModelError(f"the adapter belongs to other weights ({name} is not in these)")
        down, up = adapter.tensors[f"{name}/down"], adapter.tensors.get(f"{name}/up")
        weight = tensors[name]
        if up is None or weight.shape != (up.shape[0], down.shape[1]):
            raise ModelError(f"the adapter belongs to other weights ({name} has another shape)")
        tensors[name] = _added(weight, down, up)
    return Weights(base.kind, base.revision, tensors, base.aliases)


def _added(weight: Tensor, down: Tensor, up: Tensor) -> Tensor:
    """One rank after the other: a library's product adds in an order of the processor's own."""
    wide = weight.astype("<f4")
    for row, column in zip(down.astype("<f4"), up.astype("<f4").T, strict=True):
        wide += np.multiply.outer(column, row)
    return wide.astype(weight.dtype)
