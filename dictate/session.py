"""Hear, answer, correct: all that an interface may call.

One utterance goes in, and what changed comes out. A typed file, a recording and a microphone use
the same calls.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from dictate.entail.entailment import entailment
from dictate.grammar.load import Grammar, load_grammar
from dictate.interpret.reader import reader_of
from dictate.model import Finding, Place, Question, Record, Utterance, UtteranceKind
from dictate.parse.second import SecondReader
from dictate.resolve import by_hand
from dictate.resolve.answers import answer
from dictate.resolve.by_hand import Cited
from dictate.resolve.checked import mark_checked
from dictate.resolve.fork import fork
from dictate.resolve.guard import Guard, settled_safely, unharmed
from dictate.resolve.resolver import Resolver
from dictate.retell.retelling import retelling


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

    def __init__(
        self, grammar: Grammar | None = None, alone: bool = False, weighed: bool = True
    ) -> None:
        """Start an empty narration.

        Args:
            grammar: The one that came with the program, if none is given.
            alone: Without the second reader that must agree; for measuring.
            weighed: Without the networks that weigh what they do not agree on, where False.
        """
        self.grammar = grammar or load_grammar()
        reader = reader_of(self.grammar)
        if alone:
            self._resolver = Resolver(self.grammar, reader)
        else:
            second = SecondReader(self.grammar)
            weigher, reteller = (entailment(), retelling()) if weighed else (None, None)
            self._resolver = Resolver(self.grammar, reader, second, weigher, reteller)
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
        return replace(difference(before, self.record(), kind), trouble=trouble)

    def take(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance of a longer text, without working out what it changed."""
        return self._guard.hear(self._resolver, utterance)[0]

    def preview(self, utterance: Utterance) -> Heard:
        """Tell what an utterance would change, and keep nothing of it."""
        twin = fork(self._resolver)
        kind, trouble = Guard().hear(twin, utterance)
        changes = difference(self.record(), mark_checked(twin.record()), kind)
        return replace(changes, trouble=trouble)

    def command(self, utterance: Utterance) -> None:
        """Take an utterance that was for the tool (a request, an answer): it is only listed."""
        self._resolver.utterances.append(replace(utterance, kind="command", readings=()))

    def answer(self, question: str, words: str, said: Utterance | None = None) -> Heard:
        """Answer an open question by choice, mark or words ("right", "b", "four plus", "skip").

        Args:
            question: Its id.
            words: The answer.
            said: The utterance that the words are; it is listed, and what the answer brings
                cites it.

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        before = self.record()
        old = [entry.finding for entry in self._resolver.entries]
        with unharmed(self._resolver):
            answer(self._resolver, question, words)
        if said is not None:
            self.command(said)
            by_hand.cite(self._resolver, old, said)
        return difference(before, self.record(), None)

    # ---- by hand

    def twin(self) -> Session:
        """The same once more, to be gone on with apart from this one."""
        other = copy.copy(self)
        other._resolver, other._guard = fork(self._resolver), Guard()
        return other

    def become(self, other: Session) -> None:
        """Be from now on what another session of the same grammar is."""
        self._resolver = other._resolver

    def hear_meant(self, utterance: Utterance) -> None:
        """Take one utterance of which the examiner says that it is a statement."""
        by_hand.hear_meant(self._resolver, replace(utterance, readings=()))

    def hear_apart(self, utterance: Utterance) -> None:
        """Take an addition: nothing that holds is lent to it, and it lends nothing."""
        by_hand.hear_apart(self._resolver, utterance)

    def list_as(self, utterance: Utterance, kind: UtteranceKind) -> None:
        """List an utterance as talk or a remark, and read nothing in it."""
        by_hand.list_apart(self._resolver, replace(utterance, kind=kind))

    def put(self, finding: Finding, utterance: Utterance) -> None:
        """Add a finding that cites an utterance."""
        by_hand.put(self._resolver, finding, utterance)

    def change(
        self, old: Finding, words: Sequence[Cited], new: Finding, utterance: Utterance
    ) -> bool:
        """Put another finding in the place of one.

        Returns:
            Whether that one is there; nothing is changed where it is not.
        """
        entry = by_hand.find_entry(self._resolver, old, words)
        if entry is not None:
            by_hand.change(self._resolver, entry, new, utterance)
        return entry is not None

    def take_out(self, old: Finding, words: Sequence[Cited], utterance: Utterance) -> bool:
        """Take a finding out.

        Returns:
            Whether it is there.
        """
        entry = by_hand.find_entry(self._resolver, old, words)
        if entry is not None:
            by_hand.take_out(self._resolver, entry, utterance)
        return entry is not None

    def same_question(
        self, question: Question, words: Sequence[Cited], numbered: bool
    ) -> Question | None:
        """The open question that is the same as one of an earlier reading (``find_question``)."""
        return by_hand.find_question(self._resolver, question, words, numbered)

    def cited(self, places: Iterable[Place]) -> tuple[Cited, ...]:
        """The words at some places."""
        return by_hand.cited(places, self._resolver.utterances)

    def ask(self, question: Question) -> None:
        """Open a question with an id of its own."""
        by_hand.ask_about(self._resolver, question)

    def withdraw(self, finding: Finding) -> list[Finding]:
        """Take what stands for the same test, site and side out of the record; it is asked."""
        return by_hand.withdraw(self._resolver, finding)

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know ("the recording is cut off")."""
        self._resolver.notices.append(sentence)

    def record(self) -> Record:
        """The record so far."""
        return mark_checked(self._resolver.record())


def difference(before: Record, after: Record, kind: UtteranceKind | None = None) -> Heard:
    """What changed from one record to another."""
    was, now = set(before.findings), set(after.findings)
    asked, open_now = set(before.questions), set(after.questions)
    return Heard(
        kind,
        tuple(f for f in after.findings if f not in was),
        tuple(f for f in before.findings if f not in now),
        tuple(q for q in after.questions if q not in asked),
        tuple(q for q in before.questions if q not in open_now),
    )
