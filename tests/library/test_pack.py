"""One file for another machine: it comes back the same, and what was changed is refused."""

from __future__ import annotations

import io
import json
import stat
import subprocess
import tarfile
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from dictate.cli import main
from dictate.errors import InputError, UsageError
from dictate.examination import Examination
from dictate.library import pack as packing
from dictate.library.pack import CONTENTS_NAME, pack, unpack
from dictate.library.place import Library
from dictate.model import Utterance


def no_passphrase() -> str:
    raise AssertionError("a passphrase was asked for")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "mine" / "one"
    with Examination.create(place) as examination:
        examination.hear(Utterance("u1", "right deltoid four"))
        examination.sign("A. Example")
    (place / "sound.wav").write_bytes(bytes(5000))
    return place


@pytest.fixture
def theirs(tmp_path: Path) -> Library:
    return Library(tmp_path / "theirs")


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("passphrase", ["", "open sesame"])
def test_it_comes_back_byte_for_byte(folder, theirs, tmp_path, passphrase):
    target = tmp_path / "one.packed"
    before = contents(folder)
    pack(folder, "one", target, passphrase)
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert (b"deltoid" in target.read_bytes()) is not bool(passphrase)
    asked = (lambda: passphrase) if passphrase else no_passphrase
    back = unpack(target, theirs, asked)
    assert contents(back) == before == contents(folder)
    assert {stat.S_IMODE(path.stat().st_mode) for path in back.iterdir()} == {0o600}
    assert Examination.open(back, write=False).record().examined.signature.holds
    assert unpack(target, theirs, asked) != back  # a second one takes another name


def test_the_encrypted_file_is_in_the_format_of_age(folder, theirs, tmp_path):
    """age-encryption.org/v1: the first line, and one recipient of the kind scrypt."""
    pack(folder, "one", tmp_path / "one.age", "open sesame")
    lines = (tmp_path / "one.age").read_bytes().split(b"\n")
    assert lines[0] == b"age-encryption.org/v1" and lines[1].startswith(b"-> scrypt ")
    with pytest.raises(InputError, match="passphrase is another"):
        unpack(tmp_path / "one.age", theirs, lambda: "open barley")
    whole = bytearray((tmp_path / "one.age").read_bytes())
    whole[-20] ^= 1
    (tmp_path / "bent.age").write_bytes(whole)
    with pytest.raises(InputError, match="was changed"):
        unpack(tmp_path / "bent.age", theirs, lambda: "open sesame")
    assert list(theirs.root.iterdir()) == []


def test_the_passphrase_is_asked_for_and_no_argument(folder, theirs, tmp_path):
    """Arguments can be read by everybody on a machine."""
    target = tmp_path / "one.age"
    run = CliRunner().invoke(
        main, ["pack", str(folder), "--to", str(target), "--encrypt"], input="tide\ntide\n"
    )
    assert run.exit_code == 0, run.output
    assert "tide" not in run.output
    back = CliRunner().invoke(
        main, ["unpack", str(target), "--in", str(theirs.root)], input="tide\n"
    )
    assert back.exit_code == 0 and len(list(theirs.root.iterdir())) == 1
    for command in ("pack", "unpack"):
        shown = CliRunner().invoke(main, [command, "--help"]).output
        assert "--passphrase" not in shown and "--password" not in shown


def test_nothing_is_overwritten_and_nothing_is_packed_while_it_is_written(folder, tmp_path):
    (tmp_path / "there").write_text("mine")
    with pytest.raises(UsageError, match="already"):
        pack(folder, "one", tmp_path / "there")
    assert (tmp_path / "there").read_text() == "mine"
    with Examination.open(folder), pytest.raises(UsageError, match="writing"):
        pack(folder, "one", tmp_path / "new")
    assert not (tmp_path / "new").exists()


# ---- files that somebody made


Change = Callable[[dict, list[tuple[tarfile.TarInfo, bytes]]], None]


def member(name: str, data: bytes = b"", **more: object) -> tuple[tarfile.TarInfo, bytes]:
    info = tarfile.TarInfo(name)
    info.size = len(data)
    for key, value in more.items():
        setattr(info, key, value)
    return info, data


def forged(folder: Path, target: Path, change: Change) -> Path:
    """A packed file of an examination, with something changed by hand."""
    pack(folder, "one", target)
    with tarfile.open(target) as archive:
        rows = [(m, archive.extractfile(m).read()) for m in archive.getmembers()]
    listed = json.loads(rows[0][1])
    change(listed, rows)
    text = json.dumps(listed).encode()
    rows[0] = member(CONTENTS_NAME, text)
    with tarfile.open(target, "w", format=tarfile.PAX_FORMAT) as archive:
        for info, data in rows:
            archive.addfile(info, io.BytesIO(data))
    return target


def _renamed(name: str) -> Change:
    def change(listed, rows):
        listed["files"][0]["name"] = name
        rows[1][0].name = name

    return change


def _more(name: str, data: bytes = b"", **more: object) -> Change:
    return lambda listed, rows: rows.append(member(name, data, **more))


def _set(key: str, value: object) -> Change:
    return lambda listed, rows: listed["files"][0].__setitem__(key, value)


def _bent(listed, rows) -> None:
    rows[1] = (rows[1][0], b"x" + rows[1][1][1:])


def _linked(kind: bytes) -> Change:
    def change(listed, rows):
        rows[1] = member(rows[1][0].name, type=kind, linkname="/etc/hostname")
        listed["files"][0]["size"] = 0

    return change


@pytest.mark.parametrize(
    "change",
    [
        _renamed("../outside"), _renamed("/tmp/outside"), _renamed("a/b"), _renamed(".."),
        _renamed(".hidden"), _renamed("a\\b"), _renamed(""), _renamed("x" * 400),
        _more("surplus", b"more"), _more("../outside", b"more"),
        _more("journal.jsonl", b"{}"), _bent, _linked(tarfile.SYMTYPE), _linked(tarfile.LNKTYPE),
        _linked(tarfile.CHRTYPE), _linked(tarfile.FIFOTYPE), _set("size", 10**15),
        _set("size", -1), _set("sha256", "0" * 64), _set("sha256", None),
        _set("name", CONTENTS_NAME),
        lambda listed, rows: listed["files"].append(dict(listed["files"][0])),
        lambda listed, rows: listed["files"].append({"name": "n", "size": 0, "sha256": "0"}),
        lambda listed, rows: listed.update(version=2),
        lambda listed, rows: listed.update(files={}),
        lambda listed, rows: rows.pop(),
    ],
)  # fmt: skip
def test_what_was_made_by_hand_is_refused_and_leaves_nothing(folder, theirs, tmp_path, change):
    target = forged(folder, tmp_path / "forged", change)
    outside = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    with pytest.raises(InputError):
        unpack(target, theirs, no_passphrase)
    assert list(theirs.root.iterdir()) == []
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == outside


def test_forging_alone_is_not_why_it_is_refused(folder, theirs, tmp_path):
    unpack(forged(folder, tmp_path / "same", lambda listed, rows: None), theirs, no_passphrase)


def test_a_name_that_is_a_path_becomes_a_plain_one(folder, theirs, tmp_path):
    target = forged(
        folder, tmp_path / "odd", lambda listed, rows: listed.update(name="../../ward/ten\n")
    )
    back = unpack(target, theirs, no_passphrase)
    assert back.parent == theirs.root and back.name == "ward-ten"


@pytest.mark.parametrize("how", ["gz", "xz", "bz2"])
def test_what_is_compressed_is_not_opened(folder, theirs, tmp_path, how):
    """A megabyte of zeros is a thousand bytes in gzip: a small file must not become a large one."""
    target = tmp_path / "bomb"
    with tarfile.open(target, f"w:{how}") as archive:
        info, data = member("sound.wav", bytes(1 << 20))
        archive.addfile(info, io.BytesIO(data))
    with pytest.raises(InputError, match="no packed examination"):
        unpack(target, theirs, no_passphrase)


def test_a_file_of_holes_is_refused(folder, theirs, tmp_path):
    """GNU tar writes a gigabyte of nothing in a few hundred bytes."""
    pack(folder, "one", tmp_path / "whole")
    with tarfile.open(tmp_path / "whole") as archive:
        rows = [(m, archive.extractfile(m).read()) for m in archive.getmembers()]
    holes = tmp_path / "holes" / "sound.wav"
    holes.parent.mkdir()
    with holes.open("wb") as file:
        file.truncate(1 << 30)
    listed = json.loads(rows[0][1])
    listed["files"] = [{"name": "sound.wav", "size": 1 << 30, "sha256": "0" * 64}]
    (holes.parent / CONTENTS_NAME).write_text(json.dumps(listed))
    made = subprocess.run(
        ["tar", "-C", str(holes.parent), "-S", "-cf", str(tmp_path / "sparse"), CONTENTS_NAME,
         "sound.wav"], check=False,
    )  # fmt: skip
    if made.returncode or (tmp_path / "sparse").stat().st_size > 1 << 20:
        pytest.skip("no tar here that writes holes")
    with pytest.raises(InputError):
        unpack(tmp_path / "sparse", theirs, no_passphrase)
    assert list(theirs.root.iterdir()) == []


@pytest.mark.parametrize("cut", [1, 700, 3000])
def test_a_part_of_a_file_is_refused(folder, theirs, tmp_path, cut):
    target = tmp_path / "one.packed"
    pack(folder, "one", target)
    data = target.read_bytes()
    (tmp_path / "part").write_bytes(data[: len(data) // 2 - cut])
    with pytest.raises(InputError):
        unpack(tmp_path / "part", theirs, no_passphrase)


@pytest.mark.parametrize("data", [b"", b"left deltoid four\n", bytes(2000), b"PK\x03\x04" * 200])
def test_what_is_no_packed_file_is_refused(theirs, tmp_path, data):
    (tmp_path / "file").write_bytes(data)
    with pytest.raises(InputError, match="no packed examination"):
        unpack(tmp_path / "file", theirs, no_passphrase)
    with pytest.raises(InputError, match="no file"):
        unpack(tmp_path / "none", theirs, no_passphrase)


def test_what_is_too_large_is_not_packed(folder, tmp_path, monkeypatch):
    monkeypatch.setattr(packing, "MOST_ENCRYPTED", 100)
    with pytest.raises(Exception, match="too large"):
        pack(folder, "one", tmp_path / "one.age", "open sesame")
    assert not (tmp_path / "one.age").exists()
