"""The trained network that retells utterances: small, on the processor, the same on each run."""

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


@dataclass(frozen=True, slots=True)
class Told:
    """An utterance retold.

    ``rows``: each finding with how likely it is, 0 to 1. ``ask``: how likely it is that something
    of it must be asked about.
    """

    rows: dict[Row, float]
    ask: float = 0.0


class Retelling:
    """Retells utterances; remembers nothing of them."""

    def __init__(self, folder: Path = SHIPPED) -> None:
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


@lru_cache(maxsize=1)
def retelling() -> Retelling | None:
    """The network with the shipped weights; None where it cannot be used, and more is asked."""
    try:
        return Retelling()
    except ModelError as fault:
        note_fault(fault)
        return None
