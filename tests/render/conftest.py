"""Grammars and records for the tests of the outputs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dictate.grammar import Grammar, load_grammar, read_grammar
from dictate.grammar.folder import grammar_files

HERE = Path(__file__).parent
GRAMMARS = HERE.parents[1] / "grammars"
#: Words that the outputs only pass on; the sites, scales and areas are the small examination's.
SHARED = ("sides", "values", "speech", "numbers", "requests")


def _small_files() -> Iterator[tuple[str, str]]:
    for word in SHARED:
        yield f"common/{word}.yaml", (GRAMMARS / f"common/{word}.yaml").read_text("utf-8")
    yield from grammar_files(HERE / "examination")


@pytest.fixture(scope="session")
def small() -> Grammar:
    """A small examination that no other work changes, so exact notes stay exact."""
    return read_grammar(_small_files())


@pytest.fixture(scope="session")
def whole() -> Grammar:
    """The grammar that the program comes with."""
    return load_grammar(GRAMMARS)
