"""What a sentence takes over from what was said before it; heard by both readers together.

Sentences and what they mean are our own; judged by the contract's rules, and common practice where
they are silent. Each is also heard with its sides exchanged.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.model import Utterance
from dictate.session import Session

CASES: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "carried.yaml").read_text("utf-8")
)
_OTHER = {"right": "left", "left": "right", "Right": "Left", "Left": "Right"}


def _mirrored(text: str) -> str:
    words = "".join(c if c.isalpha() else f"\0{c}\0" for c in text).split("\0")
    return "".join(_OTHER.get(word, word) for word in words)


@pytest.mark.parametrize("turned", [False, True], ids=["as it is", "mirrored"])
@pytest.mark.parametrize("case", CASES, ids=lambda case: " ".join(case["say"])[:60])
def test_carried(case: dict[str, Any], turned: bool) -> None:
    said, wanted = case["say"], case["find"]
    if turned:
        said, wanted = [_mirrored(text) for text in said], [_mirrored(row) for row in wanted]
    session = Session()
    for number, text in enumerate(said, 1):
        session.take(Utterance(f"u{number}", text))
    record = session.record()
    rows = [f"{f.test} {f.site or '-'} {f.side or '-'} {f.value}" for f in record.findings]
    assert Counter(rows) == Counter(wanted)
    assert [question.kind for question in record.questions] == case.get("ask", [])
