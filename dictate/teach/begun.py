"""A teaching that is going on, kept in a file, so that one that was ended goes on where it was."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jax.numpy as jnp
import numpy as np

from dictate.teach.network import Adapter


@dataclass(frozen=True, slots=True)
class Begun:
    """How far it has come: the steps that are done, the adapter, and both of its moments."""

    steps: int
    adapter: Adapter
    moments: tuple[Adapter, Adapter]


def keep(begun: Begun, path: Path) -> None:
    """Write it beside its place and move it there.

    Raises:
        OSError: It cannot be written.
    """
    parts = (begun.adapter, *begun.moments)
    arrays: dict[str, Any] = {
        f"{number}|{name}|{half}": np.asarray(matrix)
        for number, part in enumerate(parts)
        for name, thin in part.items()
        for half, matrix in thin.items()
    }
    scratch = path.with_name(f"{path.name}.{os.getpid()}")
    with scratch.open("wb") as file:
        np.savez(file, steps=np.int64(begun.steps), **arrays)
    scratch.replace(path)


def kept(path: Path) -> Begun | None:
    """What is kept there; None where nothing is.

    Raises:
        OSError: It cannot be read.
        ValueError: It is damaged.
    """
    if not path.exists():
        return None
    parts: tuple[Adapter, Adapter, Adapter] = ({}, {}, {})
    with np.load(path) as arrays:
        for key in arrays.files:
            if "|" not in key:
                continue
            number, name, half = key.split("|")
            parts[int(number)].setdefault(name, {})[half] = jnp.asarray(arrays[key])
        return Begun(int(arrays["steps"]), parts[0], (parts[1], parts[2]))
