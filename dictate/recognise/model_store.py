"""Where the speech model lies, how it gets there, and whether it works.

A model is put together in a folder beside its place and moved there when it is whole and has
been heard to work, so that there is either none or a good one, also after a crash and with two
at work at once.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from dictate.errors import ModelError, StorageError
from dictate.recognise.model_check import ModelCheck, check_hearing
from dictate.recognise.model_fetch import (
    MAVEN_FILE,
    MAVEN_NAME,
    MAVEN_SHA256,
    VOSK_NAME,
    fetch_model,
)
from dictate.recognise.model_folder import check_folder, is_model, list_files
from dictate.recognise.model_unpack import (
    MOST_BYTES,
    MOST_FILES,
    require_room,
    unpack_model,
    verify_digest,
)

#: Names the folder of a model that is used where it lies, before any other.
VARIABLE = "DICTATE_MODEL"
#: Name in the store of a model that was named by hand.
OWN_NAME = "own"
_SCRATCH = ".bringing-"

Tell = Callable[[str], None]


def models_folder() -> Path:
    """Return the folder for speech models, in the user's data folder (XDG base directories)."""
    data = os.environ.get("XDG_DATA_HOME", "")
    base = Path(data) if os.path.isabs(data) else Path.home() / ".local" / "share"
    return base / "dictate" / "models"


def find_model() -> Path | None:
    """Find the speech model: the one that DICTATE_MODEL names, else the one that was brought.

    Returns:
        Its folder; None where no whole model has been brought.

    Raises:
        ModelError: DICTATE_MODEL names a folder that holds no whole model.
    """
    named = os.environ.get(VARIABLE, "")
    if named:
        try:
            check_folder(Path(named))
        except ModelError as error:
            raise ModelError(f"{VARIABLE} is set. {error}") from None
        return Path(named)
    places = [models_folder() / name for name in (OWN_NAME, MAVEN_NAME, VOSK_NAME)]
    return next((place for place in places if is_model(place)), None)


def bring_model(folder: Path | None = None, progress: Tell | None = None) -> Path:
    """Bring a speech model; where there is one and none is named, do nothing.

    Args:
        folder: A model's folder or archive to take, instead of fetching one.
        progress: Called with a sentence on each step.

    Returns:
        The folder of the model.

    Raises:
        ModelError: It could not be brought, or does not work.
        StorageError: There is no room, or the store cannot be written.
    """
    tell = progress or (lambda sentence: None)
    if folder is None and (found := find_model()) is not None:
        return found
    try:
        store = make_store()
        with alone_in(store, tell):
            if folder is None and (found := find_model()) is not None:
                return found
            return _bring_into(store, folder, tell)
    except OSError as error:
        raise StorageError(
            f"The speech model cannot be kept in {models_folder()}: {error.strerror or error}. "
            "Make room or check who may write there."
        ) from None


def check_model(folder: Path | None = None, taught: bool = False) -> ModelCheck:
    """Load the model and let it hear a short built-in sound.

    Args:
        folder: The model's folder; None for the one that is found.
        taught: Teach it the phrases of the grammar before.

    Returns:
        What was said and what it heard.

    Raises:
        ModelError: There is no model, or it does not work.
    """
    folder = folder or find_model()
    if folder is None:
        raise ModelError("There is no speech model. Run 'dictate setup' to bring it.")
    return check_hearing(folder, taught)


def make_store() -> Path:
    """Make the folder for models, readable by its owner alone.

    Raises:
        OSError: It cannot be made.
    """
    store = models_folder()
    store.parent.parent.mkdir(parents=True, exist_ok=True)
    for private in (store.parent, store):
        private.mkdir(mode=0o700, exist_ok=True)
    return store


@contextmanager
def alone_in(store: Path, tell: Tell) -> Iterator[None]:
    """Wait until no other process works in the store; the lock ends with the process."""
    file = os.open(store / ".lock", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            tell("another 'dictate setup' is at work; waiting for it")
            fcntl.flock(file, fcntl.LOCK_EX)
        yield
    finally:
        os.close(file)


def _bring_into(store: Path, named: Path | None, tell: Tell) -> Path:
    for left_behind in store.glob(f"{_SCRATCH}*"):  # by a process that was ended
        shutil.rmtree(left_behind, ignore_errors=True)
    scratch = Path(tempfile.mkdtemp(prefix=_SCRATCH, dir=store))
    try:
        made = scratch / "model"
        made.mkdir(mode=0o700)
        if named is None:
            name = fetch_model(made, scratch, tell)
        else:
            name = OWN_NAME
            _take(named, made, tell)
        check_folder(made)
        list_files(made)
        make_private(made)
        tell("checking that the speech model hears")
        check_hearing(made)
        return put_in_place(made, store / name, scratch)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _take(named: Path, made: Path, tell: Tell) -> None:
    """Take a model that was named by hand: its folder, or an archive."""
    if named.is_dir():
        tell(f"copying the speech model from {named}")
        _copy(_find_root(named), made)
    elif named.is_file():
        tell(f"unpacking {named.name}")
        if named.name == MAVEN_FILE.name:
            verify_digest(named, MAVEN_SHA256)
        unpack_model(named, made)
    else:
        raise ModelError(f"There is nothing at {named}. Name the folder or archive of a model.")


def _find_root(named: Path) -> Path:
    """The model's folder, which may be the one folder in the named one."""
    inside = sorted(path.parent.parent for path in named.glob("*/am/final.mdl"))
    if not (named / "am" / "final.mdl").exists() and len(inside) == 1:
        return inside[0]
    check_folder(named)
    return named


def _copy(root: Path, made: Path) -> None:
    paths = [path for path in sorted(root.rglob("*")) if path.is_file()]
    size = sum(path.stat().st_size for path in paths)
    if len(paths) > MOST_FILES or size > MOST_BYTES:
        raise ModelError(f"{root} is too large for a speech model. Name the model's own folder.")
    require_room(made, size)
    for path in paths:
        target = made / path.relative_to(root)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, target)


def make_private(made: Path) -> None:
    """Let its owner alone read a folder and all that is in it."""
    for path in (made, *made.rglob("*")):
        path.chmod(0o700 if path.is_dir() else 0o600)


def put_in_place(made: Path, place: Path, scratch: Path) -> Path:
    """Move the new model to its place; what was there before goes with the scratch folder."""
    if place.exists():
        place.rename(scratch / "before")
    made.rename(place)
    return place
