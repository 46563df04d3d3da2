"""A recogniser writes no commas: without them nothing wrong is recorded, whatever is asked."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from dictate.model import Utterance
from dictate.session import Session

#: Inside a sentence; a sign beside a digit is part of a number.
_MARKS = re.compile(r"(?<!\d)[,;:]|[,;:](?!\d)")
CASES: list[dict[str, Any]] = [
    case
    for case in yaml.safe_load((Path(__file__).parent / "statements.yaml").read_text("utf-8"))
    if "find" in case and _MARKS.search(case["say"])
]
#: What the words alone do not tell: a side between two names, the number of a nerve, a "no" that
#: denies as well.
NEEDS_ITS_COMMAS = {
    "No, no clonus.",
    "No, reflexes two plus.",
    "I mean the right toe, left is down.",
    "V: Normal sensation to light touch bilaterally.",
    "V: motor function normal.",
}


def test_there_are_many() -> None:
    assert len(CASES) > 200
    assert {case["say"] for case in CASES} >= NEEDS_ITS_COMMAS


@pytest.mark.parametrize(
    "case",
    [case for case in CASES if case["say"] not in NEEDS_ITS_COMMAS],
    ids=lambda case: case["say"][:60],
)
def test_nothing_wrong_without_commas(case: dict[str, Any]) -> None:
    session = Session(alone=True)
    plain = " ".join(_MARKS.sub(" ", case["say"]).split())
    for number, text in enumerate([*case.get("before", []), plain], 1):
        session.take(Utterance(f"u{number}", text))
    record = session.record()
    found = {" ".join((f.test, f.site or "-", f.side or "-", f.value)) for f in record.findings}
    assert not found - set(case["find"])
