"""`dictate grammar check FOLDER`: a mistake in a grammar file is named with file, line and reason.

The faulty files stand in tests/mistakes, named for their mistake; each is put beside a whole
grammar.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
GRAMMARS = HERE.parents[1] / "grammars"
MISTAKES = HERE.parent / "mistakes"

#: File, line of the mistake, and words that the reason must hold.
FOUND = [
    ("tab.yaml", 10, "tab"),
    ("doubled_key.yaml", 13, "'side' stands twice"),
    ("misspelt_key.yaml", 10, "'spokn' is no key"),
    ("missing_key.yaml", 8, "'side' is missing"),
    ("unknown_scale.yaml", 13, "no scale is called 'loudness'"),
    ("unknown_sites.yaml", 11, "no group of sites is called 'mouth'"),
    ("unknown_value.yaml", 13, "'there' is no value"),
    ("lost_colon.yaml", 15, "colon"),
    ("open_bracket.yaml", 11, "list is not closed"),
    ("no_examples.yaml", 2, "'examples' is missing"),
    ("list_for_mapping.yaml", 7, "tests"),
    ("empty.yaml", 1, "empty"),
    ("doubled_test.yaml", 8, "'gait' is also in"),
]

#: Files that are well formed and whose examples are wrong.
WRONG = [
    ("empty_example.yaml", 20, "expects nothing"),
    ("wrong_example.yaml", 20, "found whistling - - absent"),
    ("short_row.yaml", 20, "whistling absent"),
]


def test_every_mistake_is_listed() -> None:
    names = {path.name for path in MISTAKES.glob("*.yaml")} - {"none.yaml"}
    assert names == {row[0] for row in FOUND + WRONG}


def test_no_mistake(run, folder: Path) -> None:
    shutil.copy(MISTAKES / "none.yaml", folder)
    result = run("grammar", "check", folder)
    assert result.exit_code == 0
    assert " 0 wrong" in result.stdout


@pytest.mark.parametrize(("name", "line", "reason"), FOUND, ids=[row[0] for row in FOUND])
def test_mistake(run, one_sentence, folder: Path, name: str, line: int, reason: str) -> None:
    shutil.copy(MISTAKES / name, folder)
    result = run("grammar", "check", folder)
    assert result.exit_code == 3
    said = one_sentence(result)
    assert said.startswith(f"{name}:{line}: ")
    assert reason in said


@pytest.mark.parametrize(("name", "line", "reason"), WRONG, ids=[row[0] for row in WRONG])
def test_wrong_example(run, folder: Path, name: str, line: int, reason: str) -> None:
    shutil.copy(MISTAKES / name, folder)
    result = run("grammar", "check", folder)
    assert result.exit_code == 3
    assert isinstance(result.exception, SystemExit), result.exception
    assert f"{name}:{line}: " in result.output
    assert reason in result.output


@pytest.mark.parametrize("name", [row[0] for row in FOUND])
def test_a_note_refuses_the_grammar_as_well(run, one_sentence, folder: Path, name: str) -> None:
    """A mistake is never a warning and a default."""
    shutil.copy(MISTAKES / name, folder)
    result = run("note", "-", "--grammar", folder, text="gait normal\n")
    assert result.exit_code == 3
    one_sentence(result)


def test_a_missing_common_file(run, one_sentence, folder: Path) -> None:
    (folder / "common" / "sides.yaml").unlink()
    result = run("grammar", "check", folder)
    assert result.exit_code == 3
    assert "common/sides.yaml" in one_sentence(result)


def test_not_utf_8(run, one_sentence, folder: Path) -> None:
    (folder / "extra.yaml").write_bytes(b"area: caf\xe9\n")
    result = run("grammar", "check", folder)
    assert result.exit_code == 3
    assert "extra.yaml" in one_sentence(result)


@pytest.mark.parametrize("inside", [True, False])
def test_an_empty_or_missing_folder(run, one_sentence, tmp_path: Path, inside: bool) -> None:
    if inside:
        (tmp_path / "grammar").mkdir()
    result = run("grammar", "check", tmp_path / "grammar")
    assert result.exit_code == 3
    one_sentence(result)


def test_the_grammar_that_comes_with_the_program(run) -> None:
    result = run("grammar", "check")
    assert result.exit_code == 0, result.output
    assert ", 0 wrong" in result.stdout
