"""The surface of the composing reader: the calls of ``dictate.session.Session``, on its own state."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar, load_grammar
from dictate.model import Record, Utterance, UtteranceKind
from dictate.parse.answers import answer
from dictate.parse.narration import Narration
from dictate.resolve.checked import mark_checked


class ParseSession:
    """One narration, read by the chart."""

    def __init__(self, grammar: Grammar | None = None) -> None:
        """Start with the grammar that came with the program, or a given one."""
        self.grammar = grammar or load_grammar()
        self._narration = Narration(self.grammar)

    def take(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance of a longer text."""
        return self._narration.hear(utterance)

    def preview(self, utterance: Utterance) -> Record:
        """The record that an utterance would make; nothing of it is kept."""
        twin = Narration(self.grammar, self._narration.s)
        twin.hear(utterance)
        return mark_checked(twin.s.record())

    def command(self, utterance: Utterance) -> None:
        """Take an utterance that was for the tool: it is only listed."""
        self._narration.do("listed", utterance=replace(utterance, kind="command", readings=()))

    def answer(self, question: str, words: str) -> None:
        """Answer an open question by number, choice or words.

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        answer(self._narration, question, words)

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know."""
        self._narration.do("noticed", sentence=sentence)

    def record(self) -> Record:
        """The record so far."""
        return mark_checked(self._narration.s.record())


def parse_session(grammar: Grammar | None = None) -> ParseSession:
    """A new narration for the composing reader."""
    return ParseSession(grammar)
