"""Negation on real dictated passages is no worse than negspacy's on the same mentions."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

pytest.importorskip("negspacy", reason="negspacy is not installed: pip install '.[test]'")
_SPEC = importlib.util.spec_from_file_location("negation", Path(__file__).with_name("negation.py"))
assert _SPEC and _SPEC.loader
negation = importlib.util.module_from_spec(_SPEC)
sys.modules["negation"] = negation
_SPEC.loader.exec_module(negation)

if not negation.PASSAGES.is_file():
    pytest.skip("the dictated passages are not beside this checkout", allow_module_level=True)

#: Mentions judged by hand, and the most of them that ours may get wrong.
AT_LEAST, MOST_WRONG = 150, 3


def test_negation_beside_negspacy() -> None:
    count = negation.figures()
    ours, other = count["ours"], count["negspacy"]
    assert sum(ours.values()) == sum(other.values()) >= AT_LEAST
    assert ours["wrong"] <= MOST_WRONG
    assert ours["wrong"] < other["wrong"]
