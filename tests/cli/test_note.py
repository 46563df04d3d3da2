"""`dictate note`: what it prints and what it writes."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from dictate.cli import OUTPUTS
from dictate.render import RENDERERS, read_record

LINES = "deltoid five of five bilaterally\nreflexes two plus and symmetric\ntoes downgoing\n"

FIVE = {
    ("strength", "deltoid", "right", "5"),
    ("strength", "deltoid", "left", "5"),
    ("stretch_reflex", "all", None, "2+"),
    ("plantar", None, "right", "flexor"),
    ("plantar", None, "left", "flexor"),
}


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def _rows(text: str) -> set[tuple[str, str | None, str | None, str]]:
    return {(f["test"], f["site"], f["side"], f["value"]) for f in json.loads(text)["findings"]}


def test_record_alone_on_standard_output(start) -> None:
    result = start("note", "-", "--as", "record", text=LINES)
    assert (result.returncode, result.stderr) == (0, "")
    data = json.loads(result.stdout)
    assert len(data["findings"]) == 5
    assert data["questions"] == []
    assert [u["kind"] for u in data["utterances"]] == ["finding"] * 3
    assert _rows(result.stdout) == FIVE


def test_a_pipe_is_never_asked(run) -> None:
    """With text on standard input there is nobody to answer: the question stays open."""
    result = run("note", "-", "--as", "record", text="deltoid four out of five\n")
    assert result.exit_code == 0
    data = json.loads(result.stdout)
    assert data["findings"] == []
    assert [question["kind"] for question in data["questions"]] == ["side"]


def test_note_is_the_default_and_as_note_the_same(run) -> None:
    plain, named = run("note", "-", text=LINES), run("note", "-", "--as", "note", text=LINES)
    assert plain.exit_code == named.exit_code == 0
    assert plain.stdout == named.stdout
    assert "Strength 5/5 in the deltoids bilaterally." in plain.stdout
    assert "Plantar response flexor bilaterally." in plain.stdout
    assert "Draft for the examiner to check and sign" in plain.stdout


def test_a_file_and_standard_input_are_the_same(run, tmp_path: Path) -> None:
    file = tmp_path / "said.txt"
    file.write_text(LINES, encoding="utf-8")
    assert run("note", file).stdout == run("note", "-", text=LINES).stdout


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r", "\n\n\n"])
def test_line_ends_change_nothing(run, ends: str) -> None:
    text = LINES.replace("\n", ends).encode()
    assert _rows(run("note", "-", "--as", "record", text=text).stdout) == FIVE


def test_every_output_is_offered_and_printed(run) -> None:
    assert set(OUTPUTS) == {name for name, output in RENDERERS.items() if output.kept}
    for name in ("record", "note", "markdown", "word"):
        result = run("note", "-", "--as", name, text=LINES)
        assert result.exit_code == 0, name
        assert result.stdout_bytes


def test_out_writes_every_output_for_the_owner_alone(run, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    result = run("note", "-", "--out", folder, text=LINES + "left ankle jerk\n")
    assert result.exit_code == 0
    assert result.stdout == ""
    assert "1 question open." in result.stderr
    assert "Without captions and chapters: they need a recording." in result.stderr
    names = {path.name for path in folder.iterdir()}
    assert {"record.json", "note.txt", "note.md", "note.docx"} <= names
    assert _mode(folder) == 0o700
    assert {_mode(path) for path in folder.iterdir()} == {0o600}
    record = read_record((folder / "record.json").read_text(encoding="utf-8"))
    assert len(record.findings) == 5
    assert "5/5" in (folder / "note.txt").read_text(encoding="utf-8")


def test_out_makes_every_missing_folder_for_the_owner_alone(run, tmp_path: Path) -> None:
    run("note", "-", "--out", tmp_path / "ward" / "bed", text=LINES)
    assert _mode(tmp_path / "ward" / "bed") == 0o700
    assert _mode(tmp_path / "ward") == 0o700


def _contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("left", ["all", "record.json", "note.docx", "journal.jsonl"])
def test_out_overwrites_no_examination(run, one_sentence, tmp_path: Path, left: str) -> None:
    """Whatever is left of it: the folder of a note, and one in which only a journal stands."""
    folder = tmp_path / "out"
    run("note", "-", "--out", folder, text=LINES)
    (folder / "journal.jsonl").write_text("{}\n", encoding="utf-8")
    for path in folder.iterdir() if left != "all" else ():
        if path.name != left:
            path.unlink()
    before = _contents(folder)
    result = run("note", "-", "--out", folder, text="left biceps 4/5\n")
    assert result.exit_code == 2
    assert one_sentence(result) == (
        f"There is an examination in {folder} already. Name a new folder."
    )
    assert _contents(folder) == before


def test_listen_overwrites_no_note(run, tmp_path: Path) -> None:
    from dictate.errors import UsageError
    from dictate.listen.folder import DictationFolder

    run("note", "-", "--out", tmp_path / "out", text=LINES)
    with pytest.raises(UsageError, match="already"):
        DictationFolder(tmp_path / "out").make()


def test_out_may_be_a_folder_with_other_files(run, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("to the surgery", encoding="utf-8")
    assert run("note", "-", "--out", tmp_path, text=LINES).exit_code == 0
    assert (tmp_path / "letter.txt").read_text(encoding="utf-8") == "to the surgery"


@pytest.mark.parametrize(
    ("answer", "sides"), [("right", ["right"]), ("l", ["left"]), ("both", ["right", "left"])]
)
def test_a_question_is_asked_and_answered(run, tmp_path: Path, answer: str, sides: list) -> None:
    file = tmp_path / "said.txt"
    file.write_text("deltoid four out of five\n", encoding="utf-8")
    result = run("note", file, "--ask", "--as", "record", text=f"{answer}\n")
    assert result.exit_code == 0
    assert "Deltoid" in result.stderr
    data = json.loads(result.stdout)
    assert [finding["side"] for finding in data["findings"]] == sides
    assert data["questions"] == []


def test_an_answer_that_is_none_is_asked_again(run, tmp_path: Path) -> None:
    file = tmp_path / "said.txt"
    file.write_text("deltoid four out of five\n", encoding="utf-8")
    result = run("note", file, "--ask", "--as", "record", text="banana\nleft\n")
    assert result.exit_code == 0
    assert result.stderr.count("right, left or both") == 2
    assert [finding["side"] for finding in json.loads(result.stdout)["findings"]] == ["left"]


@pytest.mark.parametrize("grade", ["5", "2"])
def test_a_number_that_is_typed_is_the_grade(run, tmp_path: Path, grade: str) -> None:
    """Not the first or the fifth of what is on the screen."""
    file = tmp_path / "said.txt"
    file.write_text("right biceps 5/5\nright biceps 2/5\n", encoding="utf-8")
    result = run("note", file, "--ask", "--as", "record", text=f"1\n{grade}\n")
    assert "5, 2" in result.stderr and "does not answer" in result.stderr
    assert [f["value"] for f in json.loads(result.stdout)["findings"]] == [grade]


def test_the_end_of_input_leaves_the_question_open(run, tmp_path: Path) -> None:
    """Ctrl-D at a question: nothing is filled in and nothing is lost."""
    file = tmp_path / "said.txt"
    file.write_text("left biceps 4/5\ndeltoid four out of five\n", encoding="utf-8")
    result = run("note", file, "--ask", "--as", "record", text="")
    assert "Traceback" not in result.output
    data = json.loads(result.stdout)
    assert [(f["site"], f["side"]) for f in data["findings"]] == [("biceps", "left")]
    assert len(data["questions"]) == 1


def test_help_and_version(run) -> None:
    for arguments in (("--help",), ("note", "-h"), ("grammar", "check", "--help"), ("setup", "-h")):
        assert run(*arguments).exit_code == 0
    assert run("--version").stdout.startswith("dictate")
