"""Every worked case of the contract gives exactly its findings, questions, kinds and details."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import yaml

from dictate.model import Utterance, Word
from dictate.session import Session

CASES = Path(__file__).resolve().parents[3] / "shared" / "contract" / "examples.yaml"
if not CASES.is_file():
    pytest.skip("the contract's worked cases are not beside this checkout", allow_module_level=True)


def _utterance(number: int, text: str, unsure: list[str]) -> Utterance:
    words, at = [], 0
    if unsure:
        for piece in text.split():
            start = text.index(piece, at)
            at = start + len(piece)
            sure = piece.strip(".,").lower() not in unsure
            words.append(Word(piece, start, at, 0.0, 0.1, 1.0 if sure else 0.2))
    return Utterance(f"u{number}", text, words=tuple(words))


@pytest.mark.parametrize("case", yaml.safe_load(CASES.read_text()), ids=lambda case: case["id"])
def test_worked_case(case: dict) -> None:
    session = Session()
    said = [*case.get("before", []), case["say"]]
    for i, text in enumerate(said, 1):
        session.hear(_utterance(i, text, case.get("unsure", []) if i == len(said) else []))
    record = session.record()
    found = Counter((f.test, f.site, f.side, f.value) for f in record.findings)
    assert found == Counter(tuple(row) for row in case["find"])
    assert [q.kind for q in record.questions] == case["ask"]
    if "kinds" in case:
        for utterance, kinds in zip(record.utterances, case["kinds"], strict=True):
            assert utterance.kind in kinds.split("|")
    for key, words in case.get("detail", {}).items():
        details = [
            " ".join(f.detail)
            for f in record.findings
            if key == "/".join(part or "-" for part in (f.test, f.site, f.side))
        ]
        assert details
        for word in words:
            assert any(word in detail for detail in details), (word, details)
