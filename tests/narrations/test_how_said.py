"""How a value is said, by both readers together: what was not done, verbs, denials."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()
CASES: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("how_said.yaml").read_text("utf-8")
)


def _hear(text: str) -> Record:
    session = Session(GRAMMAR)
    for number, line in enumerate(text.split(" // "), 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][:60])
def test_it_is_recorded_or_asked(case: dict[str, Any]) -> None:
    record = _hear(case["say"])
    found = [(f.test, f.site or "-", f.side or "-", f.value) for f in record.findings]
    assert sorted(" ".join(row) for row in found) == sorted(case["find"])
    assert bool(record.questions) == case.get("ask", False)
