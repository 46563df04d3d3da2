"""What is retold: an utterance with what came before it, in tokens.

Where the first side it names is the left, everything is mirrored, and what is retold mirrored
back: so a mirrored utterance is retold as the mirrored findings exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dictate.entail.pairs import BETWEEN, Pair, levelled
from dictate.model import OTHER_SIDE
from dictate.retell.words import Row

#: At most so many tokens of each part; of what came before the last ones are kept.
BEFORE, TEXT = 128, 188
#: So many utterances before it are looked at.
CONTEXT = 6
#: The most tokens of a line, the marks counted.
LONGEST = BEFORE + TEXT + 3
_START, _MARK = "[CLS]", "[SEP]"


@dataclass(frozen=True, slots=True)
class Line:
    """An utterance and the utterances before it, oldest first."""

    before: tuple[str, ...]
    text: str


def straight(line: Line) -> tuple[Line, bool]:
    """A line as the network sees it, and whether it was mirrored for that."""
    pair = Pair(line.before, line.text, "")
    seen = levelled(pair)
    return Line(seen.before, seen.text), (seen.text, seen.before) != (pair.text, pair.before)


def turned(row: Row) -> Row:
    """A finding with the other side."""
    test, site, side, value = row
    return test, site, OTHER_SIDE[side] if side else None, value


class LineTokens:
    """Cuts lines to tokens by one vocabulary."""

    def __init__(self, file: Path) -> None:
        """Read the vocabulary.

        Args:
            file: ``tokenizer.json``.
        """
        from tokenizers import Tokenizer

        self._tokenizer: Any = Tokenizer.from_file(str(file))

    def numbers(self) -> dict[str, int]:
        """Each token with its number."""
        return dict(self._tokenizer.get_vocab())

    def of(self, lines: Sequence[Line]) -> list[list[str] | None]:
        """Each line in tokens; None for one that is too long."""
        parts = [
            part for line in lines for part in (BETWEEN.join(line.before[-CONTEXT:]), line.text)
        ]
        cut = self._tokenizer.encode_batch(parts, add_special_tokens=False)
        return [
            None
            if len(text.tokens) > TEXT
            else [_START, *before.tokens[-BEFORE:], _MARK, *text.tokens, _MARK]
            for before, text in zip(cut[::2], cut[1::2], strict=True)
        ]
