"""What is weighed: an utterance with what came before it, and a finding in the note's words.

Both are cut to tokens (WordPiece, lower case) and laid end to end with marks between, as the
network was taught: start, what came before, mark, utterance, mark, finding, mark.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from dictate.model import OTHER_SIDE

#: At most so many tokens of each part; of what came before the last ones are kept.
BEFORE, TEXT, PHRASE = 48, 112, 24
#: The most tokens of a pair, the marks counted.
LONGEST = BEFORE + TEXT + PHRASE + 4
#: So many utterances before it are looked at, and this stands between them.
UTTERANCES = 3
BETWEEN = " / "
_START, _MARK, _UNKNOWN = "[CLS]", "[SEP]", "[UNK]"
#: Sides in short forms: of the body, the eyes, the limbs.
_SHORT = re.compile(r"\b(?:[RL]|[RL][Tt]|O[DS]|[RL][UL]E|[RL]HS|[RL]UL|[RL]LL)\b")
_SIDES = re.compile(r"\b(" + "|".join(OTHER_SIDE) + r")\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Pair:
    """An utterance and a finding.

    ``before``: the utterances before it, oldest first. ``phrase``: the finding in the note's
    words, without details. ``at``: where in ``text`` the finding was taken from (characters): of
    a long text the part around it is looked at, else its beginning.
    """

    before: tuple[str, ...]
    text: str
    phrase: str
    at: int = 0


def mirrored(pair: Pair) -> Pair:
    """Right for left and left for right, in what was said and in the finding.

    A pair with sides in short forms stays as it is: "L" may be a side or a root.
    """
    if any(map(_SHORT.search, (*pair.before, pair.text))):
        return pair
    return replace(
        pair,
        before=tuple(map(_swapped, pair.before)),
        text=_swapped(pair.text),
        phrase=_swapped(pair.phrase),
    )


def levelled(pair: Pair) -> Pair:
    """A pair, mirrored where the first side it names is the left.

    So a mirrored utterance means the mirrored finding exactly as surely.
    """
    first = next(filter(None, map(_SIDES.search, (pair.text, pair.phrase, *pair.before))), None)
    return mirrored(pair) if first is not None and first[0].casefold() == "left" else pair


def _swapped(text: str) -> str:
    return _SIDES.sub(lambda found: OTHER_SIDE[found[0].casefold()], text)


@dataclass(frozen=True, slots=True)
class Tokens:
    """A pair as numbers; ``types`` is 0 for what was said and 1 for the finding."""

    ids: list[int]
    types: list[int]


class PairTokens:
    """Cuts pairs to tokens by one vocabulary."""

    def __init__(self, file: Path) -> None:
        """Read the vocabulary.

        Args:
            file: ``tokenizer.json``.
        """
        from tokenizers import Tokenizer

        self._tokenizer: Any = Tokenizer.from_file(str(file))
        self._start = self._tokenizer.token_to_id(_START)
        self._mark = self._tokenizer.token_to_id(_MARK)
        self._unknown = self._tokenizer.token_to_id(_UNKNOWN)

    def whole(self, word: str) -> bool:
        """Whether a word is one piece of the vocabulary."""
        found = self._tokenizer.encode(word, add_special_tokens=False).ids
        return len(found) == 1 and found[0] != self._unknown

    def of(self, pairs: Sequence[Pair]) -> list[Tokens]:
        """Each pair in tokens; what several pairs share is cut once."""
        cut = self._cut(
            part for p in pairs for part in (BETWEEN.join(p.before[-UTTERANCES:]), p.text, p.phrase)
        )
        return [self._one(pair, cut) for pair in pairs]

    def _cut(self, parts: Iterable[str]) -> dict[str, Any]:
        different = list(dict.fromkeys(parts))
        found = self._tokenizer.encode_batch(different, add_special_tokens=False)
        return dict(zip(different, found, strict=True))

    def _one(self, pair: Pair, cut: dict[str, Any]) -> Tokens:
        before = cut[BETWEEN.join(pair.before[-UTTERANCES:])].ids[-BEFORE:]
        whole = cut[pair.text]
        first = 0
        if len(whole.ids) > TEXT:
            near = sum(end <= pair.at for _, end in whole.offsets)
            first = min(max(0, near - TEXT // 2), len(whole.ids) - TEXT)
        text = whole.ids[first : first + TEXT]
        phrase = cut[pair.phrase].ids[:PHRASE]
        said = [self._start, *before, self._mark, *text, self._mark]
        found = [*phrase, self._mark]
        return Tokens([*said, *found], [0] * len(said) + [1] * len(found))
