"""Narrations as records, for the checks against published sources."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from dictate.grammar import Grammar, load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference"

#: English for the whole grades, as people say them.
WORDS = {"0": "zero", "1": "one", "2": "two", "3": "three", "4": "four", "5": "five"}
SIGNS = {"+": "plus", "-": "minus", "": ""}


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """The grammar that the program comes with."""
    return load_grammar()


@pytest.fixture(scope="session")
def hear(grammar: Grammar) -> Callable[..., Record]:
    """Makes the record of a few lines."""

    def heard(*lines: str) -> Record:
        session = Session(grammar)
        for number, line in enumerate(lines, 1):
            session.hear(Utterance(f"u{number}", line))
        return session.record()

    return heard


@pytest.fixture(scope="session")
def spoken() -> Callable[[str], str]:
    """Says a grade in words: "4+" is "four plus"."""

    def words(grade: str) -> str:
        number = grade.rstrip("+-")
        return f"{WORDS[number]} {SIGNS[grade[len(number) :]]}".strip()

    return words


@pytest.fixture(scope="session")
def reference() -> Callable[[str], dict]:
    """Reads a file of the reference tables beside this checkout; skips where they are not."""

    def table(name: str) -> dict:
        path = REFERENCE / name
        if not path.is_file():
            pytest.skip(f"the reference table {name} is not beside this checkout")
        return yaml.safe_load(path.read_text(encoding="utf-8"))

    return table
