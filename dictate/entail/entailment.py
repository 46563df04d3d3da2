"""The trained network that weighs pairs: small, on the processor, the same on each run.

A transformer encoder (Devlin et al. 2019, arXiv:1810.04805; the small one of Wang et al. 2020,
arXiv:2002.10957) that reads utterance and finding together; one number comes out.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dictate.entail.pairs import Pair, PairTokens, levelled
from dictate.errors import ModelError
from dictate.faults import note_fault

#: The weights that came with the program.
SHIPPED = Path(__file__).parent / "weights"
TOKENIZER, HEAD, MANIFEST = "tokenizer.json", "head.npz", "manifest.json"
#: Pairs that are weighed at once; they are sorted by length, so little is filled up.
_BATCH = 32
#: A line is little work: threads that wait for one another beside a listener cost more than they
#: bring (three times as long on two busy cores).
THREADS = 1


class Entailment:
    """Weighs whether utterances mean findings; remembers nothing of them."""

    def __init__(self, folder: Path = SHIPPED) -> None:
        """Load the weights; takes a tenth of a second.

        Args:
            folder: Where they are.

        Raises:
            ModelError: They or a library are missing or cannot be used; a clause.
        """
        try:
            import ctranslate2

            self._tokens = PairTokens(folder / TOKENIZER)
            head = np.load(folder / HEAD)
            told = manifest(folder).get("taught")
            self._taught = {t: frozenset(v) for t, v in told.items()} if told is not None else None
            self._weight, self._base = head["weight"].astype(np.float32), float(head["base"])
            self._network: Any = ctranslate2.Encoder(
                str(folder),
                device="cpu",
                compute_type="int8",
                intra_threads=THREADS,
            )
        except Exception as error:
            raise ModelError(f"the weights in {folder} cannot be used: {error}") from None

    def __deepcopy__(self, memo: object) -> Entailment:
        """It is never changed, so a copy is itself."""
        return self

    def knows(self, test: str, value: str) -> bool:
        """Whether it was taught what lines that mean this value of a test are like."""
        return self._taught is None or value in self._taught.get(test, ())

    def reads(self, word: str) -> bool:
        """Whether it has a word of its own for it, and does not spell it."""
        return self._tokens.whole(word)

    def weigh(self, pairs: Sequence[Pair]) -> list[float]:
        """How surely each utterance means its finding.

        Args:
            pairs: Any number.

        Returns:
            A number for each: over 0 for yes, under 0 for no, about -9 to 9. It is no
            probability: see ``grammars/common/deciding.yaml`` for what becomes of it.
        """
        cut = self._tokens.of([levelled(pair) for pair in pairs])
        order = sorted(range(len(cut)), key=lambda i: len(cut[i].ids))
        found = [0.0] * len(cut)
        for first in range(0, len(order), _BATCH):
            part = order[first : first + _BATCH]
            known = self._network.forward_batch(
                [cut[i].ids for i in part], token_type_ids=_even([cut[i].types for i in part])
            ).last_hidden_state
            scores: NDArray[np.float32] = np.asarray(known)[:, 0] @ self._weight + self._base
            for i, score in zip(part, scores, strict=True):
                found[i] = float(score)
        return found


@lru_cache(maxsize=1)
def entailment() -> Entailment | None:
    """The one that came with the program; None, and the fault noted, where it cannot be used.

    Then nothing is settled by it: more is asked, and nothing else is recorded.
    """
    try:
        return Entailment()
    except ModelError as fault:
        note_fault(fault)
        return None


def manifest(folder: Path = SHIPPED) -> dict[str, Any]:
    """What the weights were made of: base, samples, settings, figures."""
    found: dict[str, Any] = json.loads((folder / MANIFEST).read_text("utf-8"))
    return found


def _even(rows: Sequence[list[int]]) -> list[list[int]]:
    """All as long as the longest."""
    longest = max(map(len, rows))
    return [[*row, *[0] * (longest - len(row))] for row in rows]
