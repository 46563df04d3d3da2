"""Mangled words: what is looked for in less than all forms is what would be found in all."""

from __future__ import annotations

import random

import pytest

from dictate.grammar import load_grammar
from dictate.interpret.grades import GradeReader
from dictate.interpret.lexicon import lexicon_of
from dictate.interpret.repair import Repairer


def _mangled(forms: list[str]) -> list[str]:
    """Forms with a letter more, less or another, and letters of two run together."""
    dice = random.Random(11)
    out = []
    for form in dice.sample(forms, 150):
        at = dice.randrange(len(form))
        out.append(form[:at] + dice.choice("abdegiklmnoprstu") + form[at + dice.randrange(2) :])
        out.append(form[at:] + dice.choice(forms)[:5])
    return out


def test_the_quick_look_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    grammar = load_grammar()
    quick, slow = (Repairer(lexicon_of(grammar), GradeReader(grammar).words) for _ in range(2))
    monkeypatch.setattr(slow, "_may_be", lambda *_: True)
    words = _mangled(["".join(key) for key in lexicon_of(grammar).readings if len(key) <= 2])
    found = [quick.nearest(word) for word in words]
    assert found == [slow.nearest(word) for word in words]
    assert any(found)
    assert not all(found)
