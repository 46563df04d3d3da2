"""What nobody can be sure of by the place of a word: "equivocal versus flexor", "gag, didn't"."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Protocol, TypeVar

from dictate.grammar.load import Grammar
from dictate.interpret.beside import forms
from dictate.interpret.tokens import norms


class _Piece(Protocol):
    """A stretch of a sentence, as either reader has it."""

    text: str


_P = TypeVar("_P", bound=_Piece)


def weighed(
    row: Sequence[_P], values: Collection[int], idle: Collection[int], stops: Collection[int],
    grammar: Grammar,
) -> list[int]:  # fmt: skip
    """The places of words that make doubtful what stands beside them.

    A word such as "versus" between two values, and a helping verb that is left hanging after a
    comma: whether the test was done, or did not show anything, is not said.

    Args:
        row: The pieces of a sentence.
        values: The places of values and grades.
        idle: Those of words that only join.
        stops: Those of commas, stops and the end of the sentence.
        grammar: Its closed classes.
    """
    between, hanging = forms(grammar, "versus"), forms(grammar, "left_hanging")
    found: list[int] = []
    for i, piece in enumerate(row):
        words = norms(piece.text)
        if words in hanging and i - 1 in stops and i and (i + 1 in stops or i + 1 == len(row)):
            found.append(i)
        if words not in between:
            continue
        before = next((j for j in range(i - 1, -1, -1) if j not in idle), -1)
        after = next((j for j in range(i + 1, len(row)) if j not in idle), -1)
        if before in values and after in values:
            found.append(i)
    return found
