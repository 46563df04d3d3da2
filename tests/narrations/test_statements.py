"""Hundreds of statements that no grammar example shows: rules compose, sentences are not listed."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.model import Record, Utterance
from dictate.session import Session

CASES: list[dict[str, Any]] = [
    case
    for name in ("statements", "lists")
    for case in yaml.safe_load((Path(__file__).parent / f"{name}.yaml").read_text("utf-8"))
]
#: Cases may be added, not lost.
AT_LEAST = 1345


def _hear(case: dict[str, Any]) -> Record:
    session = Session(alone=True)
    for number, text in enumerate([*case.get("before", []), case["say"]], 1):
        session.take(Utterance(f"u{number}", text))
    return session.record()


def _rows(record: Record) -> list[tuple[str, str, str, str]]:
    return [(f.test, f.site or "-", f.side or "-", f.value) for f in record.findings]


def _meets(row: tuple[str, ...], pattern: str) -> bool:
    wanted = pattern.split(" ", 3)
    return all(part in ("*", has) for part, has in zip(wanted, row, strict=True))


def test_no_case_is_lost() -> None:
    assert len(CASES) >= AT_LEAST


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][:60])
def test_statement(case: dict[str, Any]) -> None:
    record = _hear(case)
    rows = _rows(record)
    if "never" in case:
        assert not [row for row in rows for pattern in case["never"] if _meets(row, pattern)]
        return
    assert Counter(" ".join(row) for row in rows) == Counter(case["find"])
    assert sorted(question.kind for question in record.questions) == case["ask"]
