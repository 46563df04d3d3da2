"""`dictate export`: what it hands on, where to, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import os
import stat
from pathlib import Path

import pytest

from dictate.cli_export import EXPORTS
from dictate.examination import Examination
from dictate.model import Utterance
from dictate.render import RENDERERS, read_record
from dictate.render.fhir import read_fhir

LINES = ("deltoid five of five bilaterally", "left toe up", "no clonus")
TYPED = ("record", "note", "markdown", "word", "html", "csv", "fhir", "phenopacket")


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """The folder of an examination of typed lines, for an invented patient."""
    folder = tmp_path / "kept"
    with Examination.create(folder, patient="p-17") as examination:
        for number, line in enumerate(LINES, 1):
            examination.hear(Utterance(f"u{number}", line))
    return folder


def test_every_output_is_offered() -> None:
    assert set(EXPORTS) == set(RENDERERS)


@pytest.mark.parametrize("name", TYPED)
def test_every_output_of_typed_words_is_made(run, kept, name) -> None:
    result = run("export", kept, "--as", name)
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout_bytes


def test_it_is_the_examinations_own_record(run, kept) -> None:
    record = read_record(run("export", kept, "--as", "record").stdout)
    rows = [(f.test, f.site, f.side, f.value) for f in record.findings]
    assert ("plantar", None, "left", "extensor") in rows
    assert read_fhir(run("export", kept, "--as", "fhir").stdout) == rows
    table = run("export", kept, "--as", "csv").stdout_bytes.decode()
    assert b"\r\n" in run("export", kept, "--as", "csv").stdout_bytes
    read = list(csv.DictReader(io.StringIO(table, newline="")))
    assert {row["patient"] for row in read} == {"p-17"}
    assert [(r["test"], r["site"] or None, r["side"] or None, r["value"]) for r in read] == rows


def test_a_signed_one_says_so(run, kept) -> None:
    with Examination.open(kept) as examination:
        examination.sign("A. Examiner")
    for name in ("note", "markdown", "html", "csv", "fhir", "phenopacket", "record"):
        assert "A. Examiner" in run("export", kept, "--as", name).stdout, name
    composition = json.loads(run("export", kept, "--as", "fhir").stdout)["entry"][0]["resource"]
    assert composition["status"] == "final"


def test_nothing_in_the_folder_is_changed(run, kept) -> None:
    before = {path.name: path.read_bytes() for path in kept.iterdir() if path.is_file()}
    for name in TYPED:
        run("export", kept, "--as", name)
    after = {path.name: path.read_bytes() for path in kept.iterdir() if path.is_file()}
    assert after == before


def test_a_record_alone_is_enough(run, kept, tmp_path) -> None:
    file = tmp_path / "record.json"
    file.write_text(run("export", kept, "--as", "record").stdout, encoding="utf-8")
    for place in (file, tmp_path):
        assert run("export", place, "--as", "note").stdout == run(
            "export", kept, "--as", "note"
        ).stdout  # fmt: skip


def test_the_library_knows_it_by_name_and_by_patient(run, kept) -> None:
    expected = run("export", kept, "--as", "note").stdout
    for name in ("kept", "p-17"):
        assert run("export", name, "--as", "note", "--in", kept.parent).stdout == expected


def test_a_file_is_for_its_owner_alone_and_never_written_over(run, kept, tmp_path, one_sentence):
    file = tmp_path / "out" / "note.html"
    result = run("export", kept, "--as", "html", "--to", file)
    assert (result.exit_code, result.stdout) == (0, "")
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    file.write_text("mine", encoding="utf-8")
    said = one_sentence(run("export", kept, "--as", "html", "--to", file))
    assert "--replace" in said and file.read_text(encoding="utf-8") == "mine"
    assert run("export", kept, "--as", "html", "--to", file, "--replace").exit_code == 0
    assert file.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [path.name for path in file.parent.iterdir()] == ["note.html"]


def test_what_goes_wrong_is_said(run, kept, tmp_path, one_sentence) -> None:
    assert "no examination" in one_sentence(run("export", "none", "--as", "note", "--in", tmp_path))
    assert "no examination" in one_sentence(run("export", tmp_path, "--as", "note"))
    assert "need sound" in one_sentence(run("export", kept, "--as", "captions"))
    assert "is a folder" in one_sentence(run("export", kept, "--as", "note", "--to", tmp_path))
    file = tmp_path / "record.json"
    file.write_bytes(b"\xff\xfe\x00")
    assert "not text" in one_sentence(run("export", file, "--as", "note"))
    file.write_text('{"format": "else"}', encoding="utf-8")
    assert "not a record" in one_sentence(run("export", file, "--as", "note"))
    record = json.loads(run("export", kept, "--as", "record").stdout)
    record["findings"][0]["test"] = "of_another_grammar"
    file.write_text(json.dumps(record), encoding="utf-8")
    assert "--grammar" in one_sentence(run("export", file, "--as", "note"))
    record["findings"], record["examined"] = [], None
    del record["examined"]
    file.write_text(json.dumps(record), encoding="utf-8")
    assert "--out FOLDER" in one_sentence(run("export", file, "--as", "fhir"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_is_one_sentence(kept) -> None:
    import subprocess
    import sys

    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "dictate", "export", str(kept), "--as", "note"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 6
    assert done.stderr.count("\n") == 1 and "No space left" in done.stderr


def test_a_word_file_is_not_thrown_at_a_terminal(kept) -> None:
    """On a terminal of its own, since only there it is refused."""
    import pty
    import subprocess
    import sys

    ours, theirs = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-m", "dictate", "export", str(kept), "--as", "word"],
        stdout=theirs, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    os.close(theirs)
    os.close(ours)
    assert done.returncode == 2 and "--to FILE" in done.stderr
