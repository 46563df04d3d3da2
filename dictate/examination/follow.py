"""One move of an examination, followed on a session: what was heard, answered or done by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.errors import UsageError
from dictate.examination.again import about_answer, about_finding, about_words
from dictate.examination.retell import corrected
from dictate.examination.steps import Data, Move
from dictate.grammar.load import Grammar
from dictate.journal.plain import from_plain, to_plain
from dictate.model import Finding, Place, Question, Utterance, UtteranceKind
from dictate.resolve.by_hand import Cited
from dictate.resolve.menu import in_todays_words, marked
from dictate.session import Heard, Session


class Follower:
    """Follows moves, wherever they stand."""

    grammar: Grammar
    differs: int
    #: Whether what is understood is compared with what the journal says.
    _plain: bool
    #: Whether an answer that is none is refused.
    _strict: bool
    #: The line with which it was read anew last; numbers of utterances mean something after it.
    _anew: int
    #: The questions as they were put, by their numbers then.
    _asked: dict[str, Question]

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
        """The question as it is now, whatever its number.

        Two statements may be asked about in the same words, so its own words must be there, and in
        the utterance that they were in.
        """
        identity = was.id if was is not None else event["question"]
        if was is None or identity[:1] != "q":
            return next((q for q in session.record().questions if q.id == identity), None)
        numbered = event["n"] > self._anew
        if "about" in event:
            about = [Cited(*_cited(one)) for one in event["about"]]
        else:  # an older journal says only where the words were
            about = [
                Cited(self._first_text(place), place.start_s, place.end_s) for place in was.about
            ]
        return session.same_question(was, about, numbered)

    def _first_text(self, place: Place) -> str:
        """The words of a place as they were heard first."""
        brought = self.event_of(place.utterance)
        text = str(brought["utterance"]["text"]) if brought is not None else ""
        return text[place.start : place.end]

    def event_of(self, identity: str) -> Data | None:
        """The line that brought an utterance."""
        raise NotImplementedError

    def _by_hand(self, session: Session, move: Move) -> None:
        event = move.event
        utterance = move.utterance
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
    utterance = move.utterance
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
