"""Networks that say what a test wants, in the place of those that were taught."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from dictate import session as sessions
from dictate.entail.pairs import Pair
from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.resolve.weighed import Reteller
from dictate.retell.lines import Line
from dictate.retell.retelling import Told
from dictate.retell.words import Row
from dictate.session import Session


class Says:
    """Weighs as it is told: all alike, but for phrases that hold a word."""

    def __init__(
        self, number: float, but: dict[str, float] | None = None, known: bool = True
    ) -> None:
        self.number, self.but, self.known = number, but or {}, known
        self.asked: list[Pair] = []

    def knows(self, test: str, value: str) -> bool:
        return self.known

    def reads(self, word: str) -> bool:
        return not word.startswith("blorb")

    def weigh(self, pairs: Sequence[Pair]) -> list[float]:
        self.asked += pairs
        return [
            next((n for word, n in self.but.items() if word in pair.phrase), self.number)
            for pair in pairs
        ]


class Retells:
    """Tells the last line as the same rows each time, others as nothing."""

    def __init__(
        self, text: str, rows: Sequence[Row], ask: float = 0.0, likely: float = 0.99
    ) -> None:
        self.text, self.told = text, Told(dict.fromkeys(rows, likely), ask)

    def knows(self, test: str, value: str) -> bool:
        return True

    def retell(self, lines: Sequence[Line]) -> list[Told | None]:
        return [self.told if line.text == self.text else Told({}) for line in lines]


def record_with(
    monkeypatch: pytest.MonkeyPatch, weigher: Says | None, reteller: Reteller | None, *lines: str
) -> Record:
    """The record of lines, with these networks."""
    monkeypatch.setattr(sessions, "entailment", lambda: weigher)
    monkeypatch.setattr(sessions, "retelling", lambda: reteller)
    session = Session(load_grammar())
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()
