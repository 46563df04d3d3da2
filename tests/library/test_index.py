"""The library: listed, found by words, by finding and by day; and what is removed is gone."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from dictate.cli import main
from dictate.errors import UsageError
from dictate.examination import Examination
from dictate.grammar import load_grammar
from dictate.journal.writing import JOURNAL_NAME
from dictate.library.index import INDEX_NAME, Index
from dictate.library.place import REMOVING, Library
from dictate.library.search import day, findings_meant
from dictate.model import Utterance

GRAMMAR = load_grammar()
#: A word that stands in no grammar and no program text.
WORD = "quillfeather"
FIRST = ["ankle reflexes absent", "right deltoid four", f"he keeps a {WORD} at home"]
SECOND = ["left knee jerk two plus", "deltoid four"]


@pytest.fixture
def library(tmp_path: Path) -> Library:
    root = tmp_path / "kept"
    for name, said in (("one", FIRST), ("ward/two", SECOND)):
        with Examination.create(root / name) as examination:
            for number, text in enumerate(said, 1):
                examination.hear(Utterance(f"u{number}", text))
    return Library(root)


def names(entries) -> list[str]:
    return [entry.folder.name for entry in entries]


def found(library: Library, words: str) -> list[str]:
    return names(Index(library).find(words, findings_meant(GRAMMAR, words)))


def test_every_examination_is_listed_with_what_it_is(library: Library) -> None:
    entries = {entry.folder.name: entry for entry in Index(library).entries()}
    assert (entries["one"].findings, entries["one"].questions) == (3, 0)
    assert (entries["two"].findings, entries["two"].questions) == (1, 1)
    assert {entry.state for entry in entries.values()} == {"draft"}
    with Examination.open(library.root / "one") as examination:
        examination.sign("A. Example")
        patient = examination.facts.patient
    again = {entry.folder.name: entry for entry in Index(library).entries()}
    assert again["one"].state == "signed by A. Example" and again["one"].patient == patient
    assert Index(library).folder_of(patient) == library.root / "one"
    with Examination.open(library.root / "one") as examination:
        examination.type("left toe up")
    (after,) = (one for one in Index(library).entries() if one.folder.name == "one")
    assert after.state == "signed by A. Example; an addendum is a draft"
    with pytest.raises(UsageError, match="no examination"):
        Index(library).folder_of("nobody")


@pytest.mark.parametrize(
    ("words", "there"),
    [
        ("ankle reflex absent", ["one"]),
        ("right ankle reflex absent", ["one"]),
        ("ankle reflex two plus", []),
        ("left knee jerk two plus", ["two"]),
        ("right knee jerk two plus", []),
        (WORD, ["one"]),
        (f"{WORD} home", ["one"]),
        (f"{WORD} deltoid", []),
        ('"; DROP TABLE said; --', []),
        ("* OR NEAR(", []),
    ],
)
def test_found_by_words_and_by_finding(library: Library, words: str, there: list[str]) -> None:
    assert found(library, words) == there


def test_found_by_day(library: Library) -> None:
    index = Index(library)
    today = index.entries()[0].at[:10]
    assert len(index.find("", [], day(today), day(today))) == 2
    assert index.find("", [], day("2999-01-01")) == []
    assert index.find("", [], "", day("1999-12-31")) == []
    with pytest.raises(UsageError, match="no day"):
        day("yesterday")


@pytest.mark.parametrize("damage", [b"", b"no database", b"SQLite format 3\x00" + bytes(300)])
def test_an_index_that_is_damaged_or_gone_is_built_again(library: Library, damage: bytes) -> None:
    before = Index(library).entries()
    path = library.root / INDEX_NAME
    if damage:
        path.write_bytes(damage)
    else:
        path.unlink()
    assert Index(library).entries() == before
    assert found(library, WORD) == ["one"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_what_changes_is_found_anew(library: Library) -> None:
    assert found(library, "tandem gait impaired") == []
    with Examination.open(library.root / "one") as examination:
        examination.type("tandem gait impaired")
    assert found(library, "tandem gait impaired") == ["one"]


def test_what_cannot_be_read_is_listed_and_hides_nothing(library: Library) -> None:
    (library.root / "one" / JOURNAL_NAME).write_text("no journal")
    states = {entry.folder.name: entry.state for entry in Index(library).entries()}
    assert states == {"one": "cannot be read", "two": "draft"}


def holding(root: Path, word: str) -> list[str]:
    """Every file below a folder that holds a word in its bytes, however it is written."""
    forms = [word.encode(), word.upper().encode(), word.encode("utf-16-le"), word[1:].encode()]
    return [
        path.name
        for path in root.rglob("*")
        if path.is_file() and any(form in path.read_bytes() for form in forms)
    ]


def test_of_what_is_removed_no_word_is_left(library: Library) -> None:
    assert found(library, WORD) == ["one"]
    assert INDEX_NAME in holding(library.root, WORD)  # so the search would see it
    run = CliRunner().invoke(main, ["remove", "one", "--yes", "--in", str(library.root)])
    assert run.exit_code == 0, run.output
    assert holding(library.root, WORD) == []
    assert holding(library.root, "ankle") == []
    assert sorted(path.name for path in library.root.iterdir()) == [INDEX_NAME, "ward"]
    assert names(Index(library).entries()) == ["two"]
    assert found(library, "left knee jerk two plus") == ["two"]


def test_removing_is_asked_first(library: Library) -> None:
    run = CliRunner().invoke(main, ["remove", "one", "--in", str(library.root)], input="n\n")
    assert run.exit_code == 1 and (library.root / "one").is_dir()


def test_what_somebody_writes_to_is_not_removed(library: Library) -> None:
    with Examination.open(library.root / "one"):
        run = CliRunner().invoke(main, ["remove", "one", "--yes", "--in", str(library.root)])
    assert run.exit_code == 2 and "writing" in run.stderr
    assert (library.root / "one" / JOURNAL_NAME).is_file()


def test_what_a_crash_left_half_removed_is_gone_with_the_next_look(library: Library) -> None:
    (library.root / "one").rename(library.root / f"{REMOVING}0")
    assert names(Index(library).entries()) == ["two"]
    assert holding(library.root, "ankle reflexes") == []


def test_the_commands_print_what_they_find(library: Library) -> None:
    where = ["--in", str(library.root)]
    listed = CliRunner().invoke(main, ["list", *where])
    assert listed.exit_code == 0 and len(listed.stdout.splitlines()) == 2
    sought = CliRunner().invoke(main, ["find", "ankle", "reflex", "absent", *where])
    assert sought.exit_code == 0 and "one" in sought.stdout and "two" not in sought.stdout
    shown = CliRunner().invoke(main, ["show", "one", *where])
    assert "deltoid" in shown.stdout and "Draft" in shown.stdout
    empty = CliRunner().invoke(main, ["list", "--in", str(library.root / "none")])
    assert (empty.exit_code, empty.stdout) == (0, "")
    assert CliRunner().invoke(main, ["find", *where]).exit_code == 2
