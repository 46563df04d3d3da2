"""Where the adapted listener lies, how it is made, and whether it is whole.

It is made once, by ``dictate setup``: the open weights and the adapter that this program brings,
added and written beside their place, and moved there when they are whole.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path

from dictate.errors import ModelError, StorageError
from dictate.recognise.adapter import Manifest, load_adapter, merge, read_manifest
from dictate.recognise.ear_fetch import SETTINGS, TOKENIZER, WEIGHTS, fetch_base
from dictate.recognise.model_store import (
    alone_in,
    make_private,
    make_store,
    models_folder,
    put_in_place,
)
from dictate.recognise.model_unpack import require_room
from dictate.recognise.weights import write_weights

Tell = Callable[[str], None]
#: Names the folder of an adapted listener that is used where it lies, before any other.
VARIABLE = "DICTATE_EAR"
#: The folder of an adapter that is used instead of the one that the program brings.
ADAPTER_VARIABLE = "DICTATE_ADAPTER"
_SCRATCH, _DOWNLOADS = ".making-", ".weights"
#: What the folders of adapted listeners begin with.
_BEGINNING = "adapted-"
_REMEDY = "run: dictate setup"
#: Bytes that the made listener takes, and those that are needed on the way.
_TAKES, _ROOM = 149_000_000, 320_000_000


def adapter_folder() -> Path:
    """The folder of the adapter that the program brings, or of another that is named."""
    named = os.environ.get(ADAPTER_VARIABLE, "")
    if named:
        return Path(named)
    with as_file(files("dictate.recognise") / "adapted") as folder:
        return folder


def wants_ear() -> bool:
    """Whether an adapted listener was ever brought here, or is named; without it nothing lacks.

    One that was made with another adapter counts: the program was renewed, and it must be said
    that its listener was not.
    """
    return bool(os.environ.get(VARIABLE, "")) or any(models_folder().glob(f"{_BEGINNING}*"))


def find_ear() -> Path:
    """The folder of the adapted listener: the one that DICTATE_EAR names, else the made one.

    Raises:
        ModelError: It is not here, damaged, or was made with another adapter; a clause with its
            remedy.
    """
    manifest = read_manifest(adapter_folder())
    named = os.environ.get(VARIABLE, "")
    folder = Path(named) if named else models_folder() / _name(manifest)
    if not (folder / WEIGHTS).is_file():
        raise ModelError(f"it is not in {folder}; {_REMEDY}")
    missing = [n for n in (SETTINGS, TOKENIZER) if not (folder / n).is_file()]
    if missing:
        raise ModelError(f"{missing[0]} is missing in {folder}; {_REMEDY}")
    if not named and _sha256(folder / WEIGHTS) != manifest.merged:
        raise ModelError(f"the weights in {folder} have changed; delete them and {_REMEDY}")
    return folder


def bring_ear(base: Path | None = None, progress: Tell | None = None) -> Path:
    """Make the adapted listener; where it is there, do nothing.

    Args:
        base: The folder of the open weights; None to bring them.
        progress: Called with a sentence on each step.

    Returns:
        Its folder.

    Raises:
        ModelError: It could not be made.
        StorageError: There is no room, or the store cannot be written.
    """
    tell = progress or (lambda sentence: None)
    try:
        return find_ear()
    except ModelError:
        pass
    try:
        manifest = read_manifest(adapter_folder())
        adapter = load_adapter(adapter_folder(), manifest)
        store = make_store()
        with alone_in(store, tell):
            place = store / _name(manifest)
            if _whole(place, manifest):
                return place
            for left_behind in store.glob(f"{_SCRATCH}*"):  # by a process that was ended
                shutil.rmtree(left_behind, ignore_errors=True)
            tell(
                f"the adapted listener will take {_TAKES // 1_000_000} MB in {place}, and "
                f"{_ROOM // 1_000_000} MB while it is made"
            )
            require_room(store, _ROOM)
            scratch = Path(tempfile.mkdtemp(prefix=_SCRATCH, dir=store))
            try:
                made = scratch / "made"
                made.mkdir(mode=0o700)
                weights = fetch_base(
                    manifest.base, manifest.tensors, base, store / _DOWNLOADS, made, tell
                )
                tell("adding the adapter to the open weights")
                write_weights(merge(weights, adapter), made / WEIGHTS)
                if _sha256(made / WEIGHTS) != manifest.merged:
                    raise ModelError("the weights with the adapter are others than were measured")
                make_private(made)
                put_in_place(made, place, scratch)
            finally:
                shutil.rmtree(scratch, ignore_errors=True)
            shutil.rmtree(store / _DOWNLOADS, ignore_errors=True)
            return place
    except OSError as error:
        raise StorageError(
            f"The adapted listener cannot be kept in {models_folder()}: "
            f"{error.strerror or error}. Make room or check who may write there."
        ) from None


def _name(manifest: Manifest) -> str:
    """One folder for each adapter, so that an older program keeps its own."""
    return f"{_BEGINNING}{manifest.base}-{manifest.sha256[:12]}"


def _whole(place: Path, manifest: Manifest) -> bool:
    return (place / WEIGHTS).is_file() and _sha256(place / WEIGHTS) == manifest.merged


def _sha256(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise ModelError(f"{path} cannot be read: {error.strerror}") from None
