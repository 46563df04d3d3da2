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
from dictate.examination.steps import TURNING, Data, Move, moves, undone
from dictate.grammar.load import Grammar
from dictate.journal.plain import from_plain, to_plain
from dictate.model import Finding, Place, Question, Record, Utterance, UtteranceKind
from dictate.resolve.by_hand import Cited
from dictate.session import Heard, Session

#: After so many moves a state is kept, to go on from.
_KEEP = 16
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

    def __init__(self, grammar: Grammar) -> None:
        """Begin with nothing."""
        self.grammar = grammar
        self.session = Session(grammar)
        self.events: list[Data] = []
        self.differs = 0
        self._moves: list[Move] = []
        self._kept: list[_Kept] = [_Kept(0, self.session.twin())]
        self._asked: dict[str, Question] = {}
        self._plain = True

    def take(self, event: Data) -> None:
        """Take the next line.

        Raises:
            InputError: It says what no program of ours writes.
        """
        try:
            self._take(event)
        except FAULTS as fault:
            raise InputError(
                f"Line {event.get('n')} of the journal is not understood ({fault}). "
                "The sound is whole: 'dictate note' reads it."
            ) from None

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

    def heard_first(self, identity: str) -> Data | None:
        """An utterance as it was heard or typed, before any word was put right."""
        for move in reversed(self._moves):
            utterance = move.event.get("utterance")
            if isinstance(utterance, dict) and utterance["id"] == identity:
                return utterance
        return None

    def undone(self) -> set[int]:
        """The numbers of the events that do not count."""
        return undone(self.events)

    @property
    def readings(self) -> int:
        """How often it was heard anew."""
        return sum(event["event"] == "read" for event in self.events)

    # ---- inside

    def _take(self, event: Data) -> None:
        self.events.append(event)
        for question in event.get("asked", ()) if event["event"] != "asked" else ():
            asked = from_plain(Question, question)
            self._asked[asked.id] = asked
        if event["event"] in TURNING:
            self._plain = False
            if event["event"] not in ("reading",):
                self._turn()
            return
        if any(e["event"] == "reading" for e in self.events) and self._reading():
            return  # it counts when it is whole
        coming = moves([event])
        for move in coming:
            self._follow(self.session, move)
            self._moves.append(move)
            self._keep()

    def _reading(self) -> bool:
        last = [e["event"] for e in self.events if e["event"] in ("reading", "read")]
        return bool(last) and last[-1] == "reading"

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
        if len(self._moves) - self._kept[-1].count >= _KEEP:
            self._kept.append(_Kept(len(self._moves), (session or self.session).twin()))

    def _follow(self, session: Session, move: Move) -> None:
        event = move.event
        kind = event["event"]
        if move.lost:
            about_words(session, event)
        elif kind == "utterance":
            self._hear(session, move)
        elif kind == "request":
            session.command(from_plain(Utterance, event["utterance"]))
        elif kind == "notice":
            if event["sentence"] not in session.record().notices:
                session.notice(str(event["sentence"]))
        elif kind == "answer":
            self._answer(session, event)
        else:
            self._by_hand(session, move)

    def _hear(self, session: Session, move: Move) -> None:
        event = move.event
        utterance = from_plain(Utterance, event["utterance"])
        if move.words is not None:
            utterance = corrected(utterance, move.words)
        if move.kind == "finding":
            session.hear_meant(utterance)
        elif move.kind is not None:
            session.list_as(utterance, _kind(move.kind))
        elif self._plain and "added" in event:
            self.differs += _differs(session.hear(utterance), event)
        else:
            session.take(utterance)

    def _answer(self, session: Session, event: Data) -> None:
        """A spoken answer; without changes it was not understood."""
        utterance = from_plain(Utterance, event["utterance"])
        if "added" not in event:
            session.command(utterance)
            return
        settled = [from_plain(Question, one) for one in event.get("settled", ())]
        was = next((q for q in settled if q.id == event["question"]), None)
        was = was or self._asked.get(event["question"])
        brought = [from_plain(Finding, one) for one in event["added"]]
        said = utterance if event.get("cites") else None
        self._settle(session, event, was, event["words"], said, brought)
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
            about_answer(session, event, was, brought)
            return
        try:
            heard = session.answer(now, words, said)
        except UsageError:
            if said is not None:
                session.command(said)
            return  # it is still open, and so it is asked
        if self._plain and "added" in event:
            self.differs += _differs(heard, event)

    def _question(self, session: Session, event: Data, was: Question | None) -> str | None:
        """The id that the question has now."""
        identity = was.id if was is not None else event["question"]
        here = [q.id for q in session.record().questions]
        if self._plain or was is None or identity[:1] != "q":
            return identity if identity in here else None
        about = [Cited(*_cited(one)) for one in event.get("about", ())]
        if not about:
            about = list(session.cited(was.about))
        found = session.same_question(was, about)
        return found.id if found is not None else None

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
            about_finding(session, event, old, new)


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
