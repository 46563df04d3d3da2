"""The stage itself: a proposal goes in, and comes out recorded or asked about."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from dictate.decide.account import Accounts, Left
from dictate.decide.features import Features, Fits, Proposal, features_of
from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reading, Sentence


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of a proposal, how likely it is wrong (0 to 1), and what speaks against it."""

    record: bool
    risk: float
    features: Features
    left: tuple[Left, ...]

    @property
    def against(self) -> frozenset[str]:
        """The features that speak against it."""
        return frozenset(name for name, number in self.features.items() if number)

    @property
    def turned(self) -> bool:
        """A word that may turn the statement round is left over, or denies what nobody knows."""
        beside = [x for x in self.left if x.where != "joined"]
        return any(x.kind == "telling" or x.denied for x in beside)


class Stage:
    """Decides by one grammar's weights; remembers nothing."""

    def __init__(self, grammar: Grammar) -> None:
        """Take the weights and the risk that may be run from the grammar."""
        self._grammar = grammar
        self._accounts = Accounts(grammar)
        self._weights = dict(grammar.deciding.weights)
        self._base = grammar.deciding.base
        self.risk = grammar.deciding.risk
        #: Called with every proposal and its verdict, by who measures.
        self.watch: Callable[[Proposal, Verdict], None] | None = None

    def strange(self, reading: Reading, sentence: Sentence) -> bool:
        """A word of the sentence is neither known nor harmless.

        Args:
            reading: The utterance it stands in.
            sentence: One of its sentences.
        """
        return any(self._accounts.is_strange(reading, item) for item in sentence.row)

    def decide(self, proposal: Proposal, fits: Fits) -> Verdict:
        """Weigh one proposal.

        Args:
            proposal: What a reader would record.
            fits: Whether a value says something of a test.
        """
        found, left = features_of(self._grammar, self._accounts, fits, proposal)
        score = self._base + sum(self._weights.get(name, 0.0) * n for name, n in found.items())
        risk = 1.0 / (1.0 + math.exp(-score))
        verdict = Verdict(risk <= self.risk, risk, found, tuple(left))
        if self.watch is not None:
            self.watch(proposal, verdict)
        return verdict


@lru_cache(maxsize=4)
def stage_of(grammar: Grammar) -> Stage:
    """The stage of a grammar, made once."""
    return Stage(grammar)
