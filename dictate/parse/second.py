"""The composing reader as the second of two: what it finds, and nothing else of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dictate.faults import note_fault
from dictate.grammar.load import Grammar
from dictate.model import Finding, Question, Utterance
from dictate.parse.narration import Narration
from dictate.parse.state import State
from dictate.resolve.strange import Key, key_of

#: Characters; nobody says more without a pause, and a longer line is not worth its time: what the
#: first reader finds in it is asked about.
LONGEST = 10_000


class SecondReader:
    """A narration of its own; its state is frozen, so a copy costs nothing."""

    def __init__(self, grammar: Grammar, state: State | None = None) -> None:
        """Begin, or go on from a state."""
        self._grammar = grammar
        self._narration = Narration(grammar, state)

    def __eq__(self, other: object) -> bool:
        """The same was heard and found."""
        return isinstance(other, SecondReader) and self._narration.s == other._narration.s

    __hash__ = None  # type: ignore[assignment]

    def __deepcopy__(self, memo: object) -> SecondReader:
        """Its state is frozen, so a deep copy is a copy."""
        return self.copy()

    def hear(self, utterance: Utterance, meant: bool = False) -> None:
        """Take one utterance; where it fails, it has found nothing in it.

        Args:
            utterance: The words.
            meant: The examiner says that it is a statement, so nothing of it is talk.
        """
        if len(utterance.text) > LONGEST:
            return
        before = self._narration.s
        try:
            self._narration.hear(utterance, meant)
        except Exception as fault:
            note_fault(fault)
            self._narration = Narration(self._grammar, before)

    def found(self) -> Mapping[Key, Finding]:
        """What it has found so far, by what tells findings apart."""
        return {key_of(entry.finding): entry.finding for entry in self._narration.s.entries}

    def asked(self) -> Sequence[Question]:
        """The questions that are open for it."""
        return [one.question for one in self._narration.s.open]

    def tell(self, findings: Sequence[Finding]) -> None:
        """An answer brought these: they hold for it as well."""
        for finding in findings:
            same = (finding.test, finding.site, finding.side)
            for entry in self._narration.s.entries:
                old = entry.finding
                if (old.test, old.site, old.side) == same and old.value != finding.value:
                    self._narration.do("removed", id=entry.id)
            if key_of(finding) not in self.found():
                self._narration.do("added", finding=finding)

    def anew(self) -> SecondReader:
        """Another one, with nothing heard yet."""
        return SecondReader(self._grammar)

    def copy(self) -> SecondReader:
        """The same once more, to be gone on with apart."""
        return SecondReader(self._grammar, self._narration.s)
