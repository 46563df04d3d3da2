"""The trained networks that retell utterances: small, on the processor, the same on each run.

Two of different open weights were taught alike. They err apart: what one tells and the other does
not is wrong several times as often as what both tell, so what they say is taken together.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from dictate.entail.entailment import THREADS
from dictate.errors import ModelError
from dictate.faults import note_fault
from dictate.retell.lines import Line, LineTokens, straight, turned
from dictate.retell.words import ASK, Row, read

#: The weights that came with the program.
SHIPPED = Path(__file__).parent / "weights"
TOKENIZER, MANIFEST = "tokenizer.json", "manifest.json"
_WORDS = "target_vocabulary.json"
#: The most words that one utterance is retold in.
_MOST = 199
#: Lines that are told at once.
_BATCH = 16
#: Nothing is taken for likelier or less likely than this; what one of several does not tell.
_LEAST, _UNTOLD = 0.002, 0.01
#: What all together hold for likelier than not was said.
_SAID = 0.5


@dataclass(frozen=True, slots=True)
class Told:
    """An utterance retold.

    ``rows``: each finding with how likely it is, 0 to 1. ``ask``: how likely it is that something
    of it must be asked about.
    """

    rows: dict[Row, float]
    ask: float = 0.0

    @property
    def said(self) -> list[Row]:
        """The findings that are likelier than not."""
        return [row for row, likely in self.rows.items() if likely >= _SAID]


class Retelling:
    """Retells utterances; remembers nothing of them."""

    def __init__(self, folder: Path) -> None:
        """Load the weights.

        Args:
            folder: Where they are.

        Raises:
            ModelError: They or a library are missing or cannot be used; a clause.
        """
        try:
            import ctranslate2

            self._tokens = LineTokens(folder / TOKENIZER)
            told = json.loads((folder / MANIFEST).read_text("utf-8"))
            self._taught = {t: frozenset(v) for t, v in told["taught"].items()}
            names = json.loads((folder / _WORDS).read_text("utf-8"))
            self._words = {word: number for number, word in enumerate(names)}
            self._network: Any = ctranslate2.Translator(
                str(folder),
                device="cpu",
                compute_type="int8",
                intra_threads=THREADS,
            )
        except Exception as error:
            raise ModelError(f"the weights in {folder} cannot be used: {error}") from None

    def __deepcopy__(self, memo: object) -> Retelling:
        """It is never changed, so a copy is itself."""
        return self

    def knows(self, test: str, value: str) -> bool:
        """Whether it was taught what lines that mean this value of a test are like."""
        return value in self._taught.get(test, ())

    def retell(self, lines: Sequence[Line]) -> list[Told | None]:
        """Each line as findings; None for one that is too long."""
        seen = [straight(line) for line in lines]
        cut = self._tokens.of([line for line, _ in seen])
        source = [tokens for tokens in cut if tokens is not None]
        if not source:
            return [None] * len(lines)
        heard = iter(
            self._network.translate_batch(
                source,
                beam_size=1,
                max_decoding_length=_MOST,
                max_batch_size=_BATCH,
                return_logits_vocab=True,
            )
        )
        found = list[Told | None]()
        for (_, mirrored), tokens in zip(seen, cut, strict=True):
            if tokens is None:
                found.append(None)
                continue
            told = next(heard)
            words = told.hypotheses[0]
            found.append(_told(words, self._sure(words, told.logits[0]), mirrored))
        return found

    def _sure(self, words: Sequence[str], logits: Sequence[Any]) -> list[float]:
        """How likely each word was, of all that could have been told there."""
        found = []
        for word, step in zip(words, logits, strict=False):
            scores = np.array(step, np.float64)
            scores -= scores.max()
            found.append(float(np.exp(scores[self._words[word]]) / np.exp(scores).sum()))
        return found


def _told(words: Sequence[str], sure: Sequence[float], mirrored: bool) -> Told:
    rows = {
        turned(one.row) if mirrored else one.row: math.prod(sure[one.first : one.last])
        for one in read(words)
    }
    return Told(rows, dict(zip(words, sure, strict=False)).get(ASK, 0.0))


class Retellings:
    """Several networks that retell, as one."""

    def __init__(self, networks: Sequence[Retelling]) -> None:
        """Take networks that were taught alike; at least one."""
        self._networks = tuple(networks)

    def __deepcopy__(self, memo: object) -> Retellings:
        """They are never changed, so a copy is itself."""
        return self

    def knows(self, test: str, value: str) -> bool:
        """Whether each was taught what lines that mean this value of a test are like."""
        return all(network.knows(test, value) for network in self._networks)

    def retell(self, lines: Sequence[Line]) -> list[Told | None]:
        """Each line as findings; None for one that is too long for one of them."""
        each = [network.retell(lines) for network in self._networks]
        return [
            _together([one for one in told if one is not None], len(told))
            for told in zip(*each, strict=True)
        ]


def _together(told: Sequence[Told], of: int) -> Told | None:
    """What several tell of one line: the mean of their log odds."""
    if len(told) < of:
        return None
    rows = dict.fromkeys(row for one in told for row in one.rows)
    odds = {row: sum(_log_odds(one.rows.get(row, _UNTOLD)) for one in told) / of for row in rows}
    likely = {row: 1 / (1 + math.exp(-mean)) for row, mean in odds.items()}
    return Told(likely, sum(one.ask for one in told) / of)


def _log_odds(likely: float) -> float:
    likely = min(max(likely, _LEAST), 1 - _LEAST)
    return math.log(likely / (1 - likely))


@lru_cache(maxsize=1)
def retelling() -> Retellings | None:
    """The shipped networks; None where they cannot be used, and more is asked."""
    try:
        folders = sorted(file.parent for file in SHIPPED.glob(f"*/{MANIFEST}"))
        if not folders:
            raise ModelError(f"there are no weights in {SHIPPED}")
        return Retellings([Retelling(folder) for folder in folders])
    except ModelError as fault:
        note_fault(fault)
        return None
