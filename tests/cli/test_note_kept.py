"""`dictate note FILE --out FOLDER` keeps a history, and reads again under what was decided."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from dictate.examination import Examination
from dictate.journal.writing import JOURNAL_NAME
from dictate.recognise.model_store import find_model
from dictate.render import read_record

DEMO = Path(__file__).parents[2] / "audio_demo" / "demo.flac"


def record_of(folder: Path):
    return read_record((folder / "record.json").read_text(encoding="utf-8"))


@pytest.fixture
def text(tmp_path: Path) -> Path:
    file = tmp_path / "said.txt"
    file.write_text("left biceps five\ndeltoid four\n", encoding="utf-8")
    return file


def test_text_is_kept_with_its_history(run, text, tmp_path):
    out = tmp_path / "out"
    assert run("note", text, "--out", out, "--no-ask").exit_code == 0
    assert stat.S_IMODE((out / JOURNAL_NAME).stat().st_mode) == 0o600
    examination = Examination.open(out, write=False)
    assert examination.record() == record_of(out)
    assert len(examination.live().findings) == 1 and examination.facts.program == "note"
    assert examination.facts.patient == record_of(out).examined.patient


def test_an_answer_at_the_terminal_is_an_event_like_any_other(run, text, tmp_path):
    out = tmp_path / "out"
    assert run("note", text, "--out", out, "--ask", text="left\n").exit_code == 0
    with Examination.open(out) as examination:
        assert [step.event for step in examination.steps()] == ["replied"]
        assert ("deltoid", "left") in [(f.site, f.side) for f in examination.live().findings]
        examination.undo()
        assert len(examination.live().questions) == 1


def test_read_again_what_was_decided_stands(run, text, tmp_path):
    out = tmp_path / "out"
    run("note", text, "--out", out, "--ask", text="left\n")
    with Examination.open(out) as examination:
        examination.change(examination.live().findings[0], value="4")
    text.write_text("tone normal\nleft biceps five\ndeltoid four\n", encoding="utf-8")
    assert run("note", text, "--out", out, "--no-ask", "--again").exit_code == 0
    assert sorted((f.site, f.value) for f in record_of(out).findings) == [
        ("all", "normal"), ("biceps", "4"), ("deltoid", "4"),
    ]  # fmt: skip


def test_a_folder_that_somebody_works_in_is_left_alone(run, text, tmp_path):
    out = tmp_path / "out"
    run("note", text, "--out", out, "--no-ask")
    before = (out / "record.json").read_bytes()
    with Examination.open(out):
        result = run("note", text, "--out", out, "--no-ask", "--again")
    assert result.exit_code == 2 and "writing" in result.stderr
    assert (out / "record.json").read_bytes() == before


def test_again_is_for_a_folder_that_holds_one(run, text, tmp_path):
    for arguments in (["--again"], ["--again", "--out", tmp_path / "none"]):
        result = run("note", text, *arguments)
        assert result.exit_code == 2 and "Traceback" not in result.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("content", [b"", b"\n \n", b"%PDF-1.4\n\x00\x01\x02" + bytes(200)])
def test_what_cannot_be_read_leaves_no_folder(run, tmp_path, content):
    (tmp_path / "file").write_bytes(content)
    result = run("note", tmp_path / "file", "--out", tmp_path / "out", "--no-ask")
    assert result.exit_code not in (0, 1) and result.stderr.strip().endswith(".")
    assert not (tmp_path / "out").exists()


def test_a_recording_is_kept_and_known_again(run, tmp_path):
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    out = tmp_path / "out"
    assert run("note", DEMO, "--out", out, "--no-ask").exit_code == 0
    assert (out / "sound.flac").read_bytes() == DEMO.read_bytes()
    first = record_of(out)
    assert first.examined.sound_sha256 and len(first.findings) > 5
    with Examination.open(out) as examination:
        changed = examination.live().findings[0]
        examination.take_out(changed)
    assert run("note", DEMO, "--out", out, "--no-ask", "--again").exit_code == 0
    assert record_of(out).findings == tuple(f for f in first.findings if f != changed)
    other = tmp_path / "other.wav"
    other.write_bytes(DEMO.read_bytes()[:-1])
    refused = run("note", other, "--out", out, "--no-ask", "--again")
    assert refused.exit_code == 2 and "another examination" in refused.stderr
    lines = (out / JOURNAL_NAME).read_text(encoding="utf-8").splitlines()
    assert [json.loads(line)["n"] for line in lines] == list(range(1, len(lines) + 1))


def test_the_files_in_the_folder_follow_the_history_and_what_was_edited_is_left(
    run, text, tmp_path
):
    from dictate.outputs import keep_current

    out = tmp_path / "out"
    run("note", text, "--out", out, "--no-ask")
    edited = (out / "note.md").read_text(encoding="utf-8") + "\nSeen with the family.\n"
    (out / "note.md").write_text(edited, encoding="utf-8")
    with Examination.open(out) as examination:
        assert keep_current(examination) == []  # nothing has changed
        examination.change(examination.live().findings[0], value="4")
        assert keep_current(examination) == ["note.md"]
        assert "4/5" in (out / "note.txt").read_text(encoding="utf-8")
        assert record_of(out) == examination.record()
        examination.sign("A. Example")
        keep_current(examination)
        assert record_of(out).examined.signature.by == "A. Example"
        assert "A. Example" in (out / "note.txt").read_text(encoding="utf-8")
    assert (out / "note.md").read_text(encoding="utf-8") == edited
