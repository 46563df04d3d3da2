"""The surface of the composing reader: the calls of ``dictate.session.Session``."""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace

from dictate.grammar.load import Grammar, load_grammar
from dictate.model import Finding, Question, Record, Utterance, UtteranceKind
from dictate.parse.answers import answer
from dictate.parse.disputes import hear_checked
from dictate.parse.narration import Narration
from dictate.parse.state import State
from dictate.resolve.checked import mark_checked

_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Changed:
    """What one utterance or answer changed, field by field as ``dictate.session.Heard``."""

    kind: UtteranceKind | None
    added: tuple[Finding, ...]
    removed: tuple[Finding, ...]
    asked: tuple[Question, ...]
    settled: tuple[Question, ...]


class ParseSession:
    """One narration, read by the chart."""

    def __init__(self, grammar: Grammar | None = None) -> None:
        """Start with the grammar that came with the program, or a given one."""
        self.grammar = grammar or load_grammar()
        self._state = State()

    def _narration(self) -> Narration:
        return Narration(self.grammar, self._state)

    def settle(self, utterance: Utterance) -> Utterance:
        """The utterance as it will be read: other ways to hear it count by its disputes alone."""
        return replace(utterance, readings=())

    def take(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance of a longer text; an error inside makes it a remark, with a notice."""
        narration = self._narration()
        try:
            kind = hear_checked(narration, self.settle(utterance))
        except Exception as fault:  # the dictation goes on, whatever was said
            _LOG.error("an utterance was not read: %s", type(fault).__name__)
            narration = self._narration()
            narration.do("listed", utterance=replace(utterance, kind="remark", readings=()))
            narration.do(
                "noticed",
                sentence=f"Utterance {utterance.id} could not be read and is kept as a remark.",
            )
            kind = "remark"
        self._state = narration.s
        return kind

    def hear(self, utterance: Utterance) -> Changed:
        """Take one utterance, and say what it changed."""
        before = self.record()
        kind = self.take(utterance)
        return _changed(before, self.record(), kind)

    def preview(self, utterance: Utterance) -> Changed:
        """Tell what an utterance would change, and keep nothing of it."""
        twin = ParseSession(self.grammar)
        twin._state = self._state
        return twin.hear(utterance)

    def command(self, utterance: Utterance) -> None:
        """Take an utterance that was for the tool (a request, an answer): it is only listed."""
        narration = self._narration()
        narration.do("listed", utterance=replace(utterance, kind="command", readings=()))
        self._state = narration.s

    def answer(self, question: str, words: str) -> Changed:
        """Answer an open question by number, choice or words ("right", "four plus", "skip").

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        before = self.record()
        narration = self._narration()
        answer(narration, question, words)
        self._state = narration.s
        return _changed(before, self.record(), None)

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know ("the recording is cut off")."""
        narration = self._narration()
        narration.do("noticed", sentence=sentence)
        self._state = narration.s

    def record(self) -> Record:
        """The record so far."""
        return mark_checked(self._state.record())


def parse_session(grammar: Grammar | None = None) -> ParseSession:
    """A new narration for the composing reader."""
    return ParseSession(grammar)


def _changed(before: Record, after: Record, kind: UtteranceKind | None) -> Changed:
    was, now = set(before.findings), set(after.findings)
    asked, open_now = set(before.questions), set(after.questions)
    return Changed(
        kind,
        tuple(f for f in after.findings if f not in was),
        tuple(f for f in before.findings if f not in now),
        tuple(q for q in after.questions if q not in asked),
        tuple(q for q in before.questions if q not in open_now),
    )
