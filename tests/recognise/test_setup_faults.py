"""Whatever is wrong with a model or its archive: one sentence, another exit code than 0, and the
model that was there stays as it was."""

from __future__ import annotations

import hashlib
import stat
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from dictate.cli import main
from dictate.errors import ModelError, StorageError
from dictate.recognise import model_store, model_unpack
from dictate.recognise.model_fetch import MAVEN_FILE
from dictate.recognise.model_store import bring_model, find_model, models_folder
from dictate.recognise.model_unpack import unpack_model

FILES = (
    "am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/phones/word_boundary.int",
    "graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int",
)  # fmt: skip
SOUND = Path(model_store.__file__).with_name("check.flac")


@pytest.fixture
def store(tmp_path, monkeypatch):
    """An empty place for models; made ones are deaf, so they are not asked to hear."""
    monkeypatch.delenv("DICTATE_MODEL", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(model_store, "check_hearing", lambda folder: None)
    return models_folder()


def make(folder: Path, content: str = "") -> Path:
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(content + name)
    return folder


def pack(path: Path, extra=()) -> Path:
    with zipfile.ZipFile(path, "w") as packed:
        for name in FILES:
            packed.writestr(f"model/{name}", f"new {name}" * 100)
        for name, content in extra:
            packed.writestr(name, content)
    return path


def digest(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != ".lock"
    }


def fails(*arguments: object, code: int) -> str:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exit_code == code, (result.output, result.exception)
    assert result.stdout == ""
    *steps, said = result.stderr.strip().splitlines()  # the steps that setup tells come first
    assert said.endswith(".") and "Traceback" not in result.stderr
    assert all(step[0].islower() for step in steps)
    return said


@pytest.mark.parametrize("missing", FILES)
def test_a_model_folder_with_a_file_missing(store, tmp_path, missing):
    folder = make(tmp_path / "made")
    (folder / missing).unlink()
    assert f"lacks {missing}" in fails("setup", "--from", folder, code=ModelError.exit_code)
    assert find_model() is None


@pytest.mark.parametrize("missing", FILES)
def test_a_model_that_has_lost_a_file_is_named_when_a_recording_is_read(
    store, tmp_path, monkeypatch, missing
):
    folder = make(tmp_path / "made")
    (folder / missing).unlink()
    monkeypatch.setenv("DICTATE_MODEL", str(folder))
    said = fails("note", SOUND, code=ModelError.exit_code)
    assert missing in said and "dictate setup" in said


def broken_archives(folder: Path):
    whole = pack(folder / "whole.zip").read_bytes()
    yield "changed", whole.replace(b"new am/final.mdlnew", b"old am/final.mdlnew", 1)
    yield "cut off", whole[: len(whole) // 2]
    yield "empty", b""
    outside = [("model/../../outside", "x"), ("model/a/../../../outside", "x")]
    for number, entry in enumerate(outside):
        yield f"outside {number}", pack(folder / "o.zip", [entry]).read_bytes()
    link = zipfile.ZipInfo("model/link")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    yield "link", pack(folder / "o.zip", [(link, "/etc")]).read_bytes()


def test_a_tampered_archive_leaves_the_model_that_is_there(store, tmp_path):
    bring_model(make(tmp_path / "made", "old "))
    before = digest(store)
    broken = dict(broken_archives(tmp_path))
    assert len(broken) == 6
    for name, content in broken.items():
        archive = tmp_path / "archive.zip"
        archive.write_bytes(content)
        said = fails("setup", "--from", archive, code=ModelError.exit_code)
        assert "archive.zip" in said, name
        assert digest(store) == before, name
    assert not list(tmp_path.rglob("outside"))


def test_an_absolute_name_in_an_archive_is_never_written(store, tmp_path):
    place = tmp_path / "elsewhere" / "outside"
    placed = bring_model(pack(tmp_path / "archive.zip", [(str(place), "x")]))
    assert not place.parent.exists()
    assert {str(p.relative_to(placed)) for p in placed.rglob("*") if p.is_file()} == {
        *FILES, "dictate-files.json",
    }  # fmt: skip


def test_an_archive_that_bears_the_published_name_must_be_the_published_one(store, tmp_path):
    archive = pack(tmp_path / MAVEN_FILE.name)
    said = fails("setup", "--from", archive, code=ModelError.exit_code)
    assert "not the file that was published (its SHA-256 differs)" in said
    assert find_model() is None


def test_no_disk_left_while_unpacking(tmp_path, small_disk, monkeypatch):
    """A disk that is really full; what the archive says of its size is no help against others."""
    small = small_disk(64)
    monkeypatch.setattr(model_unpack, "require_room", lambda *_: None)  # others wrote since
    archive = pack(tmp_path / "archive.zip", [("model/large", "x" * 200_000)])
    with pytest.raises(StorageError, match=r"No space left on device\. Make room"):
        unpack_model(archive, small)


def test_a_disk_that_fills_up_leaves_the_model_that_is_there(store, tmp_path, monkeypatch):
    bring_model(make(tmp_path / "made", "old "))
    before = digest(store)
    write = model_unpack._write_entry

    def fill(packed, entry, target):
        if target.name == "Gr.fst":
            raise OSError(28, "No space left on device")
        write(packed, entry, target)

    monkeypatch.setattr(model_unpack, "_write_entry", fill)
    archive = pack(tmp_path / "archive.zip")
    said = fails("setup", "--from", archive, code=StorageError.exit_code)
    assert "No space left on device. Make room" in said
    assert digest(store) == before


def test_room_is_asked_for_before_anything_is_written(store, tmp_path, monkeypatch):
    usage = type("Usage", (), {"free": 10})
    monkeypatch.setattr(model_unpack.shutil, "disk_usage", lambda _: usage)
    said = fails("setup", "--from", pack(tmp_path / "a.zip"), code=StorageError.exit_code)
    assert "are free. Make room" in said
    assert digest(store) == {}


SETUP = """
import sys, time
from pathlib import Path
from dictate.recognise import model_store
copy = model_store._copy
def slowly(root, made):
    copy(root, made)
    time.sleep(0.7)
model_store._copy = slowly
model_store.check_hearing = lambda folder: None
print(model_store.bring_model(Path(sys.argv[1]), progress=print))
"""


def test_two_setups_at_once_as_two_processes(store, tmp_path):
    made = make(tmp_path / "made")
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", SETUP, str(made)], stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    said = [run.communicate(timeout=60)[0] for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    assert sum("another 'dictate setup' is at work; waiting for it" in text for text in said) == 1
    placed = find_model()
    assert placed is not None and sorted(store.iterdir()) == [store / ".lock", placed]
