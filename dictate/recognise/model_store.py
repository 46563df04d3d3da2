"""Where the speech model lies, and how it gets there. The only file that may use the network.

The network is used through the Maven client or through Vosk's own loader, and only when the
model is asked for by name; recognition itself never leaves the computer.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from dictate.errors import ModelError, StorageError
from dictate.recognise.model_archive import copy_model, need_space, sha256_of, unpack_model
from dictate.recognise.model_folder import FILE_LIST, check_folder, is_model, list_files

#: Environment variable that names a model's folder, before all else.
VARIABLE = "DICTATE_MODEL"
#: The Maven artifact that carries the model, its file, and the folder of the model inside it.
ARTIFACT = "com.alphacephei:vosk-model-en:0.3.45:aar"
ARTIFACT_FILE = "com/alphacephei/vosk-model-en/0.3.45/vosk-model-en-0.3.45.aar"
ARTIFACT_SHA256 = "8a5792fccaf873b4745dbd1b3fe19d8a77a15898e806674020eea820424771cd"
ARTIFACT_FOLDER = "assets/model-en-us/"
#: The model that Vosk's own loader brings where there is no Maven client.
LOADER_MODEL = "vosk-model-small-en-us-0.15"
#: How long bringing the model may take (seconds).
PATIENCE_S = 900
_BROUGHT_BYTES = 250_000_000
_LOAD = (
    "import sys; from pathlib import Path; from dictate.recognise.vosk import download_model; "
    "download_model(sys.argv[1], Path(sys.argv[2]))"
)

Say = Callable[[str], None]


def find_model() -> Path | None:
    """Find the speech model (sizes of its files are checked, not their contents).

    Returns:
        The folder that ``DICTATE_MODEL`` names, else the one in the store; None without either.

    Raises:
        ModelError: ``DICTATE_MODEL`` names something that is no model.
    """
    named = os.environ.get(VARIABLE)
    if named:
        if not is_model(Path(named)):
            raise ModelError(
                f"{VARIABLE} names {named}, which is no speech model. "
                "Correct it, or unset it and run: dictate setup"
            )
        return Path(named)
    stored = _stored()
    return stored if is_model(stored) else None


def bring_model(folder: Path | None = None, say: Say = lambda _: None) -> Path:
    """Put a speech model into the store; where one is there already, do nothing.

    Args:
        folder: A model's folder or archive on this computer, which replaces the stored one;
            None to fetch the usual model, the only case that uses the network.
        say: Told in one sentence what is going on.

    Returns:
        The folder of the model.

    Raises:
        ModelError: No model could be brought, or it is not what it should be.
        StorageError: It cannot be written.
    """
    stored = _stored()
    if folder is None and is_model(stored):
        say(f"The speech model is there already, at {stored}.")
        return stored
    with _alone(stored.parent, say):
        if folder is None and is_model(stored):
            say(f"The speech model is there already, at {stored}.")
            return stored
        with _workplace(stored.parent) as work:
            ready = work / "model"
            if folder is not None:
                _take_named(folder, ready, say)
            else:
                _fetch(work, ready, say)
            check_folder(ready)
            _put_in_place(ready, stored, work)
    say(f"The speech model is ready, at {stored}.")
    return stored


def check_model() -> str:
    """Load the model and let it hear a short recording whose words are known.

    Returns:
        One sentence that says where the model is and what it heard.

    Raises:
        ModelError: The model is missing or damaged, or does not hear what was said.
    """
    from dictate.recognise.model_check import try_model

    model = find_model()
    if model is None:
        raise ModelError("There is no speech model yet. Run: dictate setup")
    check_folder(model, thorough=True)
    return try_model(model)


def _stored() -> Path:
    home = os.environ.get("XDG_DATA_HOME", "")
    data = Path(home) if os.path.isabs(home) else Path.home() / ".local" / "share"
    return data / "dictate" / "models" / "speech"


def _take_named(named: Path, ready: Path, say: Say) -> None:
    if named.is_dir():
        check_folder(named)
        say(f"Copying the speech model from {named}.")
        copy_model(named, ready)
    elif named.exists():
        say(f"Unpacking the speech model from {named}.")
        unpack_model(named, ready)
    else:
        raise ModelError(f"There is nothing at {named}. Name a model's folder or archive.")


def _fetch(work: Path, ready: Path, say: Say) -> None:
    """Bring the usual model by the first of the two ways that works."""
    need_space(work, _BROUGHT_BYTES)
    maven = shutil.which("mvn")
    if maven is not None:
        say("Bringing the speech model (41 MB) with the Maven client.")
        if _fetch_artifact(maven, work / "maven", ready):
            return
        say("The Maven client could not bring it.")
    say("Bringing the speech model (41 MB) with Vosk's own loader.")
    if not _fetch_with_loader(work / "loader", ready):
        raise ModelError(
            "The speech model could not be brought. Connect to the network and run again: "
            "dictate setup. Or name a model's folder or archive that you have."
        )


def _fetch_artifact(maven: str, repository: Path, ready: Path) -> bool:
    """Let Maven bring the artifact into a repository of our own, check it and unpack it."""
    wanted = [f"-Dmaven.repo.local={repository}", f"-Dartifact={ARTIFACT}", "-Dtransitive=false"]
    _run([maven, "-q", "-B", "dependency:get", *wanted], dict(os.environ), repository.parent)
    archive = repository / ARTIFACT_FILE
    if not archive.is_file():
        return False
    if sha256_of(archive) != ARTIFACT_SHA256:
        raise ModelError(
            "The speech model that was brought is not the one expected (its SHA-256 differs), "
            "and was thrown away. Run again, or from another network: dictate setup"
        )
    unpack_model(archive, ready, ARTIFACT_FOLDER)
    return True


def _fetch_with_loader(home: Path, ready: Path) -> bool:
    """Let Vosk's loader work in a process of its own: it prints and exits."""
    home.mkdir(mode=0o700)
    package = str(Path(__file__).resolve().parents[2])
    environment = dict(os.environ, PYTHONPATH=package)
    _run([sys.executable, "-c", _LOAD, LOADER_MODEL, str(home)], environment, home)
    brought = home / LOADER_MODEL
    if not is_model(brought):
        return False
    copy_model(brought, ready)
    return True


def _run(command: list[str], environment: dict[str, str], folder: Path) -> None:
    """Run a client quietly; whether it worked is seen by what it brought."""
    with contextlib.suppress(OSError, subprocess.TimeoutExpired):
        subprocess.run(
            command,
            env=environment,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=PATIENCE_S,
            check=False,
        )


@contextlib.contextmanager
def _alone(folder: Path, say: Say) -> Iterator[None]:
    """Hold the store's lock; the system lets go of it even if the process dies."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.chmod(0o700)
        folder.parent.chmod(0o700)
        handle = os.open(folder / "lock", os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as fault:
        raise StorageError(
            f"{folder} cannot be written: {fault.strerror}. Allow writing there and run again."
        ) from None
    try:
        _lock(handle, say)
        yield
    finally:
        os.close(handle)


def _lock(handle: int, say: Say) -> None:
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
        return
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        say("Another run is bringing the speech model; waiting for it.")
        fcntl.flock(handle, fcntl.LOCK_EX)


@contextlib.contextmanager
def _workplace(beside: Path) -> Iterator[Path]:
    """Give a folder of our own on the disk of the store, and clear it away."""
    for left_over in beside.glob("bringing-*"):  # by a run that died; we hold the lock
        shutil.rmtree(left_over, ignore_errors=True)
    work = Path(tempfile.mkdtemp(prefix="bringing-", dir=beside))
    try:
        yield work
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _same_files(ready: Path, stored: Path) -> bool:
    listing = stored / FILE_LIST
    return (
        is_model(stored)
        and listing.is_file()
        and listing.read_bytes() == (ready / FILE_LIST).read_bytes()
    )


def _put_in_place(ready: Path, stored: Path, work: Path) -> None:
    """Rename the finished model into the store; the one before it goes only then."""
    try:
        list_files(ready)
        (ready / FILE_LIST).chmod(0o600)
        if _same_files(ready, stored):
            return
        if stored.exists():
            stored.rename(work / "before")
        ready.rename(stored)
    except OSError as fault:
        raise StorageError(
            f"The speech model cannot be put at {stored}: {fault.strerror}. "
            "Close what uses it and run again: dictate setup"
        ) from fault
