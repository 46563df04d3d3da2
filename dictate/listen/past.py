"""What the journal of a dictation says of it: the session as it was, and where it stood."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from dictate.errors import InputError
from dictate.examination.fold import FAULTS, Fold
from dictate.interpret.reader import reader_of
from dictate.journal.plain import from_plain
from dictate.journal.reading import Journalled
from dictate.listen.asking import Answer
from dictate.listen.events import Event, Mode, Request
from dictate.listen.loop import Beginning
from dictate.listen.own_voice import SpokenSentence, without_own_voice
from dictate.listen.requests import request_of
from dictate.model import Question, Utterance
from dictate.resolve.answering import answer_in
from dictate.session import Session

#: Events that bring an utterance into the session.
_TAKEN = {"utterance", "answer", "request"}


@dataclass(slots=True)
class Past:
    """A dictation as its journal tells it.

    Attributes:
        session: With all that was journalled, and what was decided by hand since.
        mode: When it listened.
        beginning: Where it stood.
        spoken: What the tool said.
        asked: When which question was put (None: none any more), in seconds of the sound.
        switched: When the key turned listening on or off.
        ended: It was finished, not broken off.
        differs: How many utterances are understood otherwise than they were.
    """

    session: Session
    mode: Mode = "always"
    beginning: Beginning = field(default_factory=Beginning)
    spoken: dict[float, SpokenSentence] = field(default_factory=dict)
    asked: list[tuple[float, str | None]] = field(default_factory=list)
    switched: list[tuple[float, bool]] = field(default_factory=list)
    ended: bool = False
    differs: int = 0


def replay(journal: Journalled, session: Session) -> Past:
    """Bring a new session to where the journalled one was.

    Args:
        journal: What was written.
        session: A new one, of the same grammar.

    Raises:
        InputError: A line says what no dictation writes.
    """
    fold = Fold(session.grammar, session)
    fold.load(journal.events, compare=True)
    return past_of(fold)


def past_of(fold: Fold) -> Past:
    """Where the journalled dictation stood.

    Args:
        fold: What the lines of its journal came to.

    Raises:
        InputError: A line says what no dictation writes.
    """
    past = Past(fold.session, differs=fold.differs)
    counts = {"taken": 0, "asides": 0}
    read_to_s, listening = 0.0, None
    for event in fold.events:
        try:
            _follow(past, event)
            read_to_s = max(read_to_s, float(event.get("read_to_s", 0.0)))
        except FAULTS as fault:
            raise InputError(
                f"Line {event['n']} of the journal is not understood ({fault}). "
                "The sound is whole: 'dictate note' reads it."
            ) from None
        counts["taken"] += event["event"] in _TAKEN
        counts["asides"] += event["event"] == "aside"
        if event["event"] == "state":
            listening = bool(event["listening"])
    if past.mode == "key":  # the key may have gone on moving in sound that was not read
        was = [on for at_s, on in past.switched if at_s <= read_to_s]
        listening = was[-1] if was else False
    past.beginning = Beginning(listening, counts["taken"], counts["asides"], read_to_s)
    return past


def _follow(past: Past, event: dict[str, Any]) -> None:
    kind = event["event"]
    if kind == "spoke":
        sentence = from_plain(SpokenSentence, event["sentence"])
        past.spoken[sentence.start_s] = sentence
    elif kind == "asked":
        past.asked.append((float(event["at_s"]), event["question"]))
    elif kind == "state":
        past.mode = event["mode"]
        past.switched.append((float(event["at_s"]), bool(event["listening"])))
    elif kind == "started":
        past.mode = event.get("mode", past.mode)
    past.ended = kind == "ended" or (past.ended and kind != "resumed")


class PastAsker:
    """Knows answers and its own voice in sound that is read again; asks nothing."""

    busy = False

    def __init__(self, past: Past) -> None:
        """Know what was said and asked then."""
        self._past, self._session = past, past.session
        self._reader = reader_of(past.session.grammar)
        self.spoken = tuple(past.spoken.values())

    @property
    def question_put(self) -> Question | None:
        """None is put now."""
        return None

    def tick(self, now_s: float, speech: bool, silent_s: float) -> None:
        """Nothing is asked of the past."""

    def take(self, event: Event, session: Session) -> None:
        """Nothing is said of it either."""

    def ask_the_rest(self) -> bool:
        """Nothing is asked."""
        return False

    def sort(self, utterance: Utterance) -> Utterance | Answer | Request | None:
        """Tell what an utterance was (as ``asking.Asker.sort``)."""
        rest = without_own_voice(utterance, self.spoken)
        if rest is None:
            return None
        question = self._question_at(rest.start or 0.0)
        if question is not None:
            words = answer_in(rest, question, self._reader, self._session.grammar)
            if words is not None:
                heard = self._session.answer(question.id, words, rest)
                return Answer(question.id, words, heard, rest)
        request = request_of(rest, self._session.grammar, question is not None)
        return request if request is not None else rest

    def _question_at(self, at_s: float) -> Question | None:
        """The question that was put then, if it is still open."""
        put = None
        for since_s, identity in self._past.asked:
            if since_s <= at_s:
                put = identity
        return next((q for q in self._session.record().questions if q.id == put), None)
