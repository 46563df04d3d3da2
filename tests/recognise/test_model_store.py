"""The model's place: found, brought once, from what is named, never from what is unsafe."""

from __future__ import annotations

import stat
import threading
import zipfile

import pytest

from dictate.errors import ModelError, StorageError
from dictate.recognise import model_fetch, model_store, model_unpack
from dictate.recognise.model_store import bring_model, check_model, find_model

FILES = (
    "am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/phones/word_boundary.int",
    "graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int",
)  # fmt: skip


@pytest.fixture
def store(tmp_path, monkeypatch):
    monkeypatch.delenv("DICTATE_MODEL", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(model_store, "check_hearing", lambda folder: None)  # made ones are deaf
    return tmp_path / "data" / "dictate" / "models"


@pytest.fixture
def made(tmp_path):
    """A folder with the files of a model; none of them is one."""
    folder = tmp_path / "made"
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(name)
    return folder


def pack(path, entries):
    with zipfile.ZipFile(path, "w") as packed:
        for name, content in entries:
            packed.writestr(name, content)
    return path


def whole(extra=()):
    return [(f"outer/model/{name}", name) for name in FILES] + list(extra)


def test_nothing_yet(store):
    assert find_model() is None
    with pytest.raises(ModelError, match="dictate setup"):
        check_model()


def test_named_by_the_environment(store, made, monkeypatch):
    monkeypatch.setenv("DICTATE_MODEL", str(made))
    assert find_model() == made
    (made / "am/final.mdl").unlink()
    with pytest.raises(ModelError, match="DICTATE_MODEL"):
        find_model()


def test_from_a_folder_for_the_owner_alone(store, made):
    placed = bring_model(made)
    assert find_model() == placed
    assert sorted(store.iterdir()) == [store / ".lock", placed]
    for path in [store.parent, *store.rglob("*")]:
        wanted = 0o700 if path.is_dir() else 0o600
        assert stat.S_IMODE(path.stat().st_mode) == wanted, path


def test_from_an_archive_takes_the_model_alone(store, tmp_path):
    archive = pack(tmp_path / "a.zip", whole([("other.txt", "x")]))
    placed = bring_model(archive)
    names = {str(p.relative_to(placed)) for p in placed.rglob("*") if p.is_file()}
    assert names == {*FILES, "dictate-files.json"}


def test_a_second_run_does_nothing(store, made, monkeypatch):
    placed = bring_model(made)
    before = placed.stat().st_ino
    monkeypatch.setattr(model_store, "fetch_model", None)
    assert bring_model() == placed
    assert placed.stat().st_ino == before


def test_a_deaf_model_is_not_taken(store, made, monkeypatch):
    monkeypatch.undo()
    monkeypatch.setenv("XDG_DATA_HOME", str(store.parent.parent))
    with pytest.raises(ModelError, match="cannot be used"):
        bring_model(made)
    assert find_model() is None


def test_a_changed_file_is_noticed_and_brought_again(store, made):
    placed = bring_model(made)
    (placed / "am/final.mdl").write_text("other length of it")
    assert find_model() is None
    assert bring_model(made) == find_model()


def test_two_at_once(store, made, monkeypatch):
    fetched = []

    def fetch(folder, scratch, tell):
        fetched.append(folder)
        threading.Event().wait(0.3)
        for name in FILES:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(name)
        return model_fetch.MAVEN_NAME

    monkeypatch.setattr(model_store, "fetch_model", fetch)
    runs = [threading.Thread(target=bring_model) for _ in range(3)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert len(fetched) == 1
    assert find_model() is not None


def test_what_a_dead_run_left_is_cleared(store, made):
    (store / ".bringing-dead").mkdir(parents=True)
    bring_model(made)
    assert not (store / ".bringing-dead").exists()


LINK = zipfile.ZipInfo("outer/model/link")
LINK.external_attr = (stat.S_IFLNK | 0o777) << 16


@pytest.mark.parametrize(
    "extra",
    [("outer/model/../../../evil", "x"), ("outer/model/a\\..\\evil", "x"), (LINK, "am/final.mdl")],
)
def test_unsafe_archives_write_nothing(store, tmp_path, extra):
    with pytest.raises(ModelError, match="written elsewhere"):
        bring_model(pack(tmp_path / "a.zip", whole([extra])))
    assert [path.name for path in store.iterdir()] == [".lock"]
    assert not list(tmp_path.rglob("evil"))


def test_too_large_and_too_many(store, tmp_path, monkeypatch):
    archive = pack(tmp_path / "a.zip", whole([(f"outer/model/{n}", "") for n in range(300)]))
    with pytest.raises(ModelError, match="too many"):
        bring_model(archive)
    with pytest.raises(ModelError, match="too large"):
        (tmp_path / "f").mkdir()
        model_unpack.unpack_model(pack(tmp_path / "b.zip", whole()), tmp_path / "f", 10)


def test_no_room(store, made, monkeypatch):
    monkeypatch.setattr(
        model_unpack.shutil, "disk_usage", lambda _: type("Usage", (), {"free": 10})
    )
    with pytest.raises(StorageError, match="room"):
        bring_model(made)


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x03\x04" + bytes(40)])
def test_what_is_no_archive(store, tmp_path, content):
    (tmp_path / "a.zip").write_bytes(content)
    with pytest.raises(ModelError):
        bring_model(tmp_path / "a.zip")


def test_archive_damaged_inside(store, tmp_path):
    archive = pack(tmp_path / "a.zip", whole())
    archive.write_bytes(archive.read_bytes().replace(b"graph/Gr.fst", b"graph/Xx.fst", 2)[:-60])
    with pytest.raises(ModelError):
        bring_model(archive)
    assert find_model() is None


def test_named_thing_is_missing(store, tmp_path):
    with pytest.raises(ModelError, match="nothing at"):
        bring_model(tmp_path / "none")


def test_store_cannot_be_written(store, made):
    store.parent.parent.mkdir()
    store.parent.write_text("a file where the folder should be")
    with pytest.raises(StorageError, match="cannot be kept"):
        bring_model(made)


def clients(tmp_path, monkeypatch, maven):
    """Put a Maven client of our own first, with a home that has no repository, and no network."""
    (tmp_path / "bin").mkdir()
    client = tmp_path / "bin" / "mvn"
    client.write_text(maven)
    client.chmod(0o700)
    monkeypatch.setenv("PATH", str(tmp_path / "bin"), prepend=":")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")


def test_both_clients_fail(store, tmp_path, monkeypatch):
    clients(tmp_path, monkeypatch, "#!/bin/sh\necho 'ERROR no such host'\nexit 1\n")
    with pytest.raises(ModelError, match=r"Maven failed.*no such host.*dictate setup"):
        bring_model()
    assert find_model() is None
    assert [path.name for path in store.iterdir()] == [".lock"]


def test_a_file_with_another_digest_is_not_unpacked(store, tmp_path, monkeypatch):
    pack(tmp_path / "false.aar", whole())
    script = (
        '#!/bin/sh\nfor word in "$@"; do case $word in -Dmaven.repo.local=*) '
        f'to="${{word#*=}}/{model_fetch.MAVEN_FILE}";; esac; done\n'
        f'mkdir -p "$(dirname "$to")" && cp "{tmp_path}/false.aar" "$to"\n'
    )
    clients(tmp_path, monkeypatch, script)
    with pytest.raises(ModelError, match="SHA-256 differs"):
        bring_model()
    assert find_model() is None


def test_the_real_model_works(model_folder):
    checked = check_model(model_folder)
    assert checked.folder == model_folder
    assert set(checked.heard.split()) & set(checked.said.split())
