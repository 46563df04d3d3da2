"""Hear, answer, correct: all that an interface may call.

One utterance goes in, and what changed comes out. A typed file, a recording and a microphone use
the same calls.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from dictate.grammar.load import Grammar, load_grammar
from dictate.interpret.reader import reader_of
from dictate.model import Finding, Question, Record, Utterance, UtteranceKind
from dictate.resolve.answers import answer
from dictate.resolve.checked import mark_checked
from dictate.resolve.fork import fork
from dictate.resolve.guard import Guard, settled_safely, unharmed
from dictate.resolve.resolver import Resolver


@dataclass(frozen=True, slots=True)
class Heard:
    """What one utterance or answer changed.

    ``trouble``: why the utterance could not be read, where the program itself failed; the record
    has it as a notice.
    """

    kind: UtteranceKind | None
    added: tuple[Finding, ...]
    removed: tuple[Finding, ...]
    asked: tuple[Question, ...]
    settled: tuple[Question, ...]
    trouble: str = ""


class Session:
    """One narration, from the first word to the record."""

    def __init__(self, grammar: Grammar | None = None) -> None:
        """Start with the grammar that came with the program, or a given one."""
        self.grammar = grammar or load_grammar()
        self._resolver = Resolver(self.grammar, reader_of(self.grammar))
        self._guard = Guard()

    def settle(self, utterance: Utterance) -> Utterance:
        """Choose among the ways to hear an utterance, if there are several; changes nothing.

        ``hear``, ``take`` and ``preview`` do so themselves; who shows the words asks first.
        """
        return settled_safely(self._resolver, utterance)

    def hear(self, utterance: Utterance) -> Heard:
        """Take one utterance; one that the program fails to read becomes a remark."""
        before = self.record()
        kind, trouble = self._guard.hear(self._resolver, utterance)
        return replace(_difference(before, self.record(), kind), trouble=trouble)

    def take(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance of a longer text, without working out what it changed."""
        return self._guard.hear(self._resolver, utterance)[0]

    def preview(self, utterance: Utterance) -> Heard:
        """Tell what an utterance would change, and keep nothing of it."""
        twin = fork(self._resolver)
        kind, trouble = Guard().hear(twin, utterance)
        changes = _difference(self.record(), mark_checked(twin.record()), kind)
        return replace(changes, trouble=trouble)

    def command(self, utterance: Utterance) -> None:
        """Take an utterance that was for the tool (a request, an answer): it is only listed."""
        self._resolver.utterances.append(replace(utterance, kind="command", readings=()))

    def answer(self, question: str, words: str) -> Heard:
        """Answer an open question by choice, mark or words ("right", "b", "four plus", "skip").

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        before = self.record()
        with unharmed(self._resolver):
            answer(self._resolver, question, words)
        return _difference(before, self.record(), None)

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know ("the recording is cut off")."""
        self._resolver.notices.append(sentence)

    def record(self) -> Record:
        """The record so far."""
        return mark_checked(self._resolver.record())


def _difference(before: Record, after: Record, kind: UtteranceKind | None) -> Heard:
    was, now = set(before.findings), set(after.findings)
    asked, open_now = set(before.questions), set(after.questions)
    return Heard(
        kind,
        tuple(f for f in after.findings if f not in was),
        tuple(f for f in before.findings if f not in now),
        tuple(q for q in after.questions if q not in asked),
        tuple(q for q in before.questions if q not in open_now),
    )
