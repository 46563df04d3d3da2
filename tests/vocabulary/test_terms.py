"""A table of terms: each said in three ways, denied, left undone, doubted; all of it mirrored."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.examples import fault
from dictate.grammar import load_grammar
from dictate.grammar.schema import Example

GRAMMAR = load_grammar()
TERMS: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "terms.yaml").read_text("utf-8")
)
#: Terms may be added, not lost.
AT_LEAST = 300
WAYS = 3


def _cases() -> Iterator[tuple[str, Example]]:
    for row in TERMS:
        for say in row["say"]:
            yield row["term"], Example(say=say, find=row["find"])
        for key in ("denied", "undone"):
            for say, find in row.get(key, {}).items():
                yield row["term"], Example(say=say, find=[find] if isinstance(find, str) else find)
        doubted = [row["doubted"]] if row.get("doubted") else []
        for say in (*doubted, *row.get("asked", ())):  # asked: the readers and the networks differ
            yield row["term"], Example(say=say, find=[], ask=["value"])


CASES = [(term, example) for term, example in _cases()]


def test_no_term_is_lost() -> None:
    assert len({row["term"] for row in TERMS}) >= AT_LEAST


@pytest.mark.parametrize("row", TERMS, ids=lambda row: row["term"])
def test_a_term_is_said_in_three_ways_and_turned_round(row: dict[str, Any]) -> None:
    assert len(set(row["say"])) >= WAYS
    assert row.get("denied") or row.get("why"), "say how it is denied, or why it cannot be"
    assert row["undone"]
    assert row["doubted"]


@pytest.mark.parametrize("mirrored", [False, True], ids=["said", "mirrored"])
@pytest.mark.parametrize("case", CASES, ids=lambda case: case[1].say[:60])
def test_term(case: tuple[str, Example], mirrored: bool) -> None:
    assert fault(GRAMMAR, case[1], mirrored) is None, case[1].say
