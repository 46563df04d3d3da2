"""Lists, and what is said of all of a list: what both readers together make of them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.model import Utterance
from dictate.session import Session

CASES: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "coordination.yaml").read_text("utf-8")
)
_SIDES = {"right": "left", "Right": "Left", "R": "L", "RUE": "LUE", "RLE": "LLE", "OD": "OS"}
MIRROR = _SIDES | {left: right for right, left in _SIDES.items()}


def _mirrored(text: str) -> str:
    return " ".join(
        MIRROR.get(word.rstrip(",.:;"), word.rstrip(",.:;")) + word[len(word.rstrip(",.:;")) :]
        for word in text.split(" ")
    )


@pytest.mark.parametrize("mirror", [False, True], ids=["as said", "mirrored"])
@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][0][:60])
def test_list(case: dict[str, Any], mirror: bool) -> None:
    session = Session()
    turn = _mirrored if mirror else str
    for number, text in enumerate(case["say"], 1):
        session.take(Utterance(f"u{number}", turn(text)))
    record = session.record()
    rows = Counter(f"{f.test} {f.site or '-'} {f.side or '-'} {f.value}" for f in record.findings)
    assert rows == Counter(turn(row) for row in case["find"])
    assert sorted(question.kind for question in record.questions) == sorted(case["ask"])
