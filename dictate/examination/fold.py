"""The record as what the events of a journal come to.

Whatever comes at the end is followed at once. What turns something that was heard earlier (its
words, its kind, an undoing, a new reading) lets all that came after it be followed once more, from
the nearest state that was kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dictate.errors import DictateError, InputError
from dictate.examination.follow import Follower
from dictate.examination.steps import OPENING, TURNING, Data, Move, latest_reading, moves, undone
from dictate.grammar.load import Grammar
from dictate.journal.plain import from_plain
from dictate.model import Question, Record
from dictate.session import Session

#: After so many moves a state is kept, to go on from.
_KEEP = 16
#: Whoever waits is told after so many moves.
_TOLD = 50
#: Of more states every other one is let go of, and fewer are kept from then on.
_MOST_KEPT = 32
#: What may go wrong with a line that some program wrote.
FAULTS = (KeyError, ValueError, TypeError, AttributeError, DictateError)


def _nobody(done: int, whole: int) -> None:
    """Whom it is told to where nobody asked."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """The session after so many moves."""

    count: int
    session: Session


class Fold(Follower):
    """What a journal comes to, line by line.

    Attributes:
        events: Its lines so far.
        differs: How many utterances are understood otherwise than the journal says, as far as
            that was compared.
    """

    def __init__(self, grammar: Grammar, session: Session | None = None) -> None:
        """Begin with nothing.

        Args:
            grammar: Whose words count.
            session: A new one to bring up; it stays the same object whatever is read again.
        """
        self.grammar = grammar
        self.session = session if session is not None else Session(grammar)
        self.events: list[Data] = []
        self.differs = 0
        self._moves: list[Move] = []
        self._kept: list[_Kept] = [_Kept(0, self.session.twin())]
        self._asked: dict[str, Question] = {}
        self._plain = True
        self._strict = False
        self._every = _KEEP
        #: "reading" while it is heard anew, and what came of that; empty where it never was.
        self._again = ""
        self._anew = 0

    def take(self, event: Data) -> None:
        """Take the next line.

        Raises:
            InputError: It says what no program of ours writes.
        """
        try:
            self.follow(event)
        except FAULTS as fault:
            raise _not_understood(event, fault) from None

    def follow(self, event: Data, strict: bool = False) -> None:
        """Take the next line as it is made.

        Args:
            event: The line.
            strict: An answer that is none is refused; else its question stays open.

        Raises:
            UsageError: It is refused.
        """
        self._strict = strict
        try:
            self._take(event)
        finally:
            self._strict = False

    def note(self, event: Data) -> None:
        """Take a line that the session has followed already: it says what was just heard.

        A reading that begins anew and what is heard in it count when it is whole.
        """
        self._remember(event)
        if self._reading():
            return
        for move in moves([event]):
            self._moves.append(move)
            self._keep()

    def load(
        self,
        events: Sequence[Data],
        compare: bool = False,
        tell: Callable[[int, int], None] = _nobody,
    ) -> None:
        """Take all the lines of a journal at once, into a fold that has none yet.

        Args:
            events: The lines.
            compare: Tell whether each utterance is understood as it was (``differs``); that takes
                three times as long.
            tell: Told now and then how many moves are followed, and of how many.

        Raises:
            InputError: One says what no program of ours writes.
        """
        for event in events:
            self._remember(event)
        self._plain = compare and not any(event["event"] in TURNING for event in events)
        coming = moves(events)
        for number, move in enumerate(coming):
            if number % _TOLD == 0:
                tell(number, len(coming))
            try:
                self._follow(self.session, move)
            except FAULTS as fault:
                raise _not_understood(move.event, fault) from None
            self._moves.append(move)
            self._keep()

    def twin(self) -> Fold:
        """The same once more, to try an event on."""
        other = Fold.__new__(Fold)
        other.__dict__.update(self.__dict__)
        other.session = self.session.twin()
        other.events, other._moves, other._kept = [*self.events], [*self._moves], [*self._kept]
        other._asked = dict(self._asked)
        return other

    def become(self, other: Fold) -> None:
        """Be what a twin has become; the session stays the same object."""
        session = self.session
        session.become(other.session)
        self.__dict__.update(other.__dict__)
        self.session = session

    def record(self) -> Record:
        """The record so far."""
        return self.session.record()

    def event_of(self, identity: str) -> Data | None:
        """The line that brought an utterance, as it was heard or typed first."""
        for move in reversed(self._moves):
            utterance = move.event.get("utterance")
            if isinstance(utterance, dict) and utterance["id"] == identity:
                return move.event
        return None

    def undone(self) -> set[int]:
        """The numbers of the events that do not count."""
        return undone(self.events)

    @property
    def readings(self) -> int:
        """How often it was heard anew."""
        return latest_reading(self.events)[1]

    # ---- inside

    def _remember(self, event: Data) -> None:
        self.events.append(event)
        if event["event"] == "reading" or (event["event"] == "read" and self._again):
            self._anew = event["n"] if event["event"] == "read" else self._anew
            self._again = event["event"]
        elif event["event"] in OPENING and self._reading():
            self._again = "broken off"
        for question in event.get("asked", ()) if event["event"] != "asked" else ():
            asked = from_plain(Question, question)
            self._asked[asked.id] = asked

    def _take(self, event: Data) -> None:
        self._remember(event)
        if event["event"] in TURNING:
            self._plain = self._plain and (event["event"] == "read" and not self._again)
            if event["event"] != "reading":
                self._turn()
            return
        if self._reading():
            return  # it counts when it is whole
        coming = moves([event])
        for move in coming:
            self._follow(self.session, move)
            self._moves.append(move)
            self._keep()

    def _reading(self) -> bool:
        return self._again == "reading"

    def _turn(self) -> None:
        """Follow once more all that is not as it was."""
        wanted = moves(self.events)
        same = 0
        for old, new in zip(self._moves, wanted, strict=False):
            if not old.same(new):
                break
            same += 1
        self._kept = [kept for kept in self._kept if kept.count <= same]
        start = self._kept[-1]
        session, before = start.session.twin(), self._moves
        self._moves = wanted[: start.count]
        known = {id(move.event): move for move in before}
        for move in wanted[start.count :]:
            old = known.get(id(move.event), move)
            self._follow(session, old if old.same(move) else move)
            self._moves.append(old if old.same(move) else move)
            self._keep(session)
        self.session.become(session)

    def _keep(self, session: Session | None = None) -> None:
        if len(self._moves) - self._kept[-1].count >= self._every:
            self._kept.append(_Kept(len(self._moves), (session or self.session).twin()))
        if len(self._kept) > _MOST_KEPT:
            self._every *= 2
            self._kept = self._kept[::2]


def _not_understood(event: Data, fault: Exception) -> InputError:
    return InputError(
        f"Line {event.get('n')} of the journal is not understood ({fault}). "
        "The sound is whole: 'dictate note' reads it."
    )
