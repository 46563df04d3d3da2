"""Talk around an examination gives no finding, and hides none."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.model import Utterance
from dictate.session import Session

CASES: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "talk.yaml").read_text("utf-8")
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][-1][:60])
def test_talk(case: dict[str, Any]) -> None:
    session = Session(alone=True)
    for number, text in enumerate(case["say"], 1):
        session.take(Utterance(f"u{number}", text))
    record = session.record()
    rows = [f"{f.test} {f.site or '-'} {f.side or '-'} {f.value}" for f in record.findings]
    assert Counter(rows) == Counter(case["find"])
    if "ask" in case:
        assert [question.kind for question in record.questions] == case["ask"]
