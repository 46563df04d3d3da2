"""The record as what the events of a journal come to.

Whatever comes at the end is followed at once. What turns something that was heard earlier (its
words, its kind, an undoing, a new reading) lets all that came after it be followed once more, from
the nearest state that was kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.errors import DictateError, InputError, UsageError
from dictate.examination.again import about_answer, about_finding, about_words
from dictate.examination.retell import corrected
from dictate.examination.steps import OPENING, TURNING, Data, Move, latest_reading, moves, undone
from dictate.grammar.load import Grammar
from dictate.journal.plain import from_plain, to_plain
from dictate.model import Finding, Place, Question, Record, Utterance, UtteranceKind
from dictate.resolve.by_hand import Cited
from dictate.resolve.menu import in_todays_words, marked
from dictate.session import Heard, Session

#: After so many moves a state is kept, to go on from.
_KEEP = 16
#: Of more states every other one is let go of, and fewer are kept from then on.
_MOST_KEPT = 32
#: What may go wrong with a line that some program wrote.
FAULTS = (KeyError, ValueError, TypeError, AttributeError, DictateError)


@dataclass(frozen=True, slots=True)
class _Kept:
    """The session after so many moves."""

    count: int
    session: Session


class Fold:
    """What a journal comes to, line by line.

    Attributes:
        events: Its lines so far.
        differs: How many utterances are understood otherwise than the journal says.
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

    def take(self, event: Data) -> None:
        """Take the next line.

        Raises:
            InputError: It says what no program of ours writes.
        """
        try:
            self.follow(event)
        except FAULTS as fault:
            raise InputError(
                f"Line {event.get('n')} of the journal is not understood ({fault}). "
                "The sound is whole: 'dictate note' reads it."
            ) from None

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
        session = start.session.twin()
        self._moves = wanted[: start.count]
        for move in wanted[start.count :]:
            self._follow(session, move)
            self._moves.append(move)
            self._keep(session)
        self.session.become(session)

    def _keep(self, session: Session | None = None) -> None:
        if len(self._moves) - self._kept[-1].count >= self._every:
            self._kept.append(_Kept(len(self._moves), (session or self.session).twin()))
        if len(self._kept) > _MOST_KEPT:
            self._every *= 2
            self._kept = self._kept[::2]

    def _follow(self, session: Session, move: Move) -> None:
        event = move.event
        kind = event["event"]
        if move.lost:
            about_words(session, event)
        elif kind == "utterance" or (
            kind in ("answer", "request") and move.kind not in (None, "command")
        ):
            self._hear(session, move)
        elif kind == "request":
            session.command(_as_said(move))
        elif kind == "notice":
            if event["sentence"] not in session.record().notices:
                session.notice(str(event["sentence"]))
        elif kind == "answer":
            self._answer(session, move)
        else:
            self._by_hand(session, move)

    def _hear(self, session: Session, move: Move) -> None:
        event = move.event
        utterance = _as_said(move)
        if move.kind == "finding":
            session.hear_meant(utterance)
        elif move.kind is not None:
            session.list_as(utterance, _kind(move.kind))
        elif self._plain and "added" in event:
            self.differs += _differs(session.hear(utterance), event)
        else:
            session.take(utterance)

    def _answer(self, session: Session, move: Move) -> None:
        """A spoken answer; without changes it was not understood."""
        event, utterance = move.event, _as_said(move)
        if "added" not in event and move.words is None:
            session.command(utterance)
            return
        settled = [from_plain(Question, one) for one in event.get("settled", ())]
        was = next((q for q in settled if q.id == event["question"]), None)
        was = was or self._asked.get(event["question"])
        brought = [from_plain(Finding, one) for one in event.get("added", ())]
        said = utterance if event.get("cites") else None
        words = event["words"] if move.words is None else move.words
        if was is not None and move.words is None:
            words = in_todays_words(was, self.grammar, words)
        self._settle(session, event, was, words, said, brought)
        if said is None:
            session.command(utterance)

    def _settle(
        self, session: Session, event: Data, was: Question | None, words: str,
        said: Utterance | None, brought: Sequence[Finding],
    ) -> None:  # fmt: skip
        now = self._question(session, event, was)
        if now is None:
            if said is not None:
                session.command(said)
            about_answer(session, event, said, was, brought)
            return
        try:
            heard = session.answer(now.id, _as_meant(words, was, now, self.grammar), said)
        except UsageError:
            if self._strict:
                raise
            if said is not None:
                session.command(said)
            return  # it is still open, and so it is asked
        if self._plain and "added" in event:
            self.differs += _differs(heard, event)

    def _question(self, session: Session, event: Data, was: Question | None) -> Question | None:
        """The question as it is now, whatever its number."""
        identity = was.id if was is not None else event["question"]
        open_now = session.record().questions
        same = next((q for q in open_now if q.id == identity), None)
        if was is None or (same is not None and (same.kind, same.prompt) == (was.kind, was.prompt)):
            return same
        if "about" in event:
            return session.same_question(was, [Cited(*_cited(one)) for one in event["about"]])
        # an older journal does not say which words it was about
        alike = [q for q in open_now if (q.kind, q.prompt) == (was.kind, was.prompt)]
        return alike[0] if len(alike) == 1 else None

    def _by_hand(self, session: Session, move: Move) -> None:
        event = move.event
        utterance = from_plain(Utterance, event["utterance"])
        kind = event["event"]
        if kind == "typed":
            said = replace(utterance, text=utterance.text if move.words is None else move.words)
            if move.kind not in (None, "finding"):
                session.list_as(said, _kind(str(move.kind)))
            else:
                session.hear_apart(said)
        elif kind == "put":
            session.put(from_plain(Finding, event["finding"]), utterance)
        elif kind == "replied":
            question = from_plain(Question, event["question"])
            brought = [from_plain(Finding, one) for one in event.get("added", ())]
            self._settle(session, event, question, event["words"], utterance, brought)
        else:
            old = from_plain(Finding, event["was"])
            words = [Cited(*_cited(one)) for one in event["about"]]
            new = from_plain(Finding, event["finding"]) if kind == "changed" else None
            if new is not None and session.change(old, words, new, utterance):
                return
            if new is None and session.take_out(old, words, utterance):
                return
            session.list_as(utterance, "command" if new is None else "finding")
            about_finding(session, event, utterance, old, new)


def _as_said(move: Move) -> Utterance:
    """An utterance, with the words that were put right."""
    utterance = from_plain(Utterance, move.event["utterance"])
    return utterance if move.words is None else corrected(utterance, move.words)


def _as_meant(words: str, was: Question | None, now: Question, grammar: Grammar) -> str:
    """The words of an answer; a choice's mark stands for its label, which the choices of another
    reading may have at another place."""
    if was is None or was.choices == now.choices:
        return words
    choice = marked(was, grammar, words)
    return choice.label if choice is not None else words


def _cited(one: Data) -> tuple[str, float | None, float | None]:
    return one["text"], one.get("start_s"), one.get("end_s")


def _kind(kind: str) -> UtteranceKind:
    return from_plain(Utterance, {"id": "", "text": "", "kind": kind}).kind or "remark"


def _differs(heard: Heard, event: Data) -> bool:
    names = ("added", "removed", "asked", "settled")
    return any(to_plain(getattr(heard, name)) != event[name] for name in names if name in event)


def whole(utterance: Utterance) -> Place:
    """All of an utterance as a place."""
    return Place(utterance.id, 0, len(utterance.text), utterance.start, utterance.end)
