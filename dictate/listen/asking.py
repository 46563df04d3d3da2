"""When a question is put: in a pause, one at a time, never over the examiner.

A question that nobody answers rests; it comes again with the next section, and at the end. What is
said right after it is its answer only if it says nothing else (``answering``). While the examiner
speaks with the patient no question is put, since the patient's "left" would be its answer.

The loop gives every complete utterance to ``Asker.sort`` before anything else, calls ``tick`` for
every chunk of sound, and tells the asker what it tells its other observers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from dictate.audio.speaker import Player
from dictate.errors import UsageError
from dictate.interpret.reader import reader_of
from dictate.listen.agenda import Agenda
from dictate.listen.events import (
    ByHand,
    Event,
    Finished,
    HeardUtterance,
    Level,
    Partial,
    Request,
    State,
    Trouble,
)
from dictate.listen.mouth import Mouth, Style
from dictate.listen.own_voice import SpokenSentence, after_own_words, without_own_voice
from dictate.listen.replies import last_finding, missing, question_words
from dictate.listen.requests import request_of
from dictate.model import Finding, Question, Utterance
from dictate.resolve.answering import answer_in, is_curt
from dictate.resolve.helping import may_be_answered
from dictate.resolve.resolver import UNSURE
from dictate.session import Heard, Session
from dictate.speak.tones import Tone
from dictate.speak.voice import Voice

#: Silence after which a question may be put (seconds).
PAUSE_S = 1.0
#: How long after a question an utterance may begin to be its answer (seconds).
ANSWER_S = 8.0
#: So long after a sentence its words may still be among those being heard (seconds).
LATELY_S = 1.5


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer came to.

    Attributes:
        question_id: The question.
        words: The words that ``Session.answer`` took; empty where the answer was not understood.
        heard: What it changed; None where it was not understood, and the question is put again.
        utterance: The answer as it was spoken; the session has listed it where it understood it.
    """

    question_id: str
    words: str
    heard: Heard | None
    utterance: Utterance


class Asks(Protocol):
    """What puts the questions and knows their answers: an ``Asker``, or one of the past."""

    @property
    def spoken(self) -> tuple[SpokenSentence, ...]: ...
    @property
    def question_put(self) -> Question | None: ...
    @property
    def busy(self) -> bool: ...
    def tick(self, now_s: float, speech: bool, silent_s: float) -> None: ...
    def take(self, event: Event, session: Session) -> None: ...
    def sort(self, utterance: Utterance) -> Utterance | Answer | Request | None: ...
    def ask_the_rest(self) -> bool: ...


class Asker:
    """Puts the session's open questions, and knows their answers."""

    def __init__(
        self,
        voice: Voice | None,
        player: Player | None,
        session: Session,
        style: Style = "speech",
    ) -> None:
        """Have nothing to ask.

        Args:
            voice: What speaks; None for tones.
            player: What plays; None for the screen alone.
            session: Whose questions are put.
            style: How they are put.
        """
        self._mouth = Mouth(voice, player, session.grammar, style)
        self._session = session
        self._reader = reader_of(session.grammar)
        self._put: Question | None = None
        self._put_s = self._until_s = 0.0
        self._told: list[tuple[str, Tone]] = []
        self._agenda = Agenda(session)
        self._latest: Finding | None = None
        self._asks = True
        self._asking = False
        self._now_s = 0.0

    # ---- what others may know

    @property
    def spoken(self) -> tuple[SpokenSentence, ...]:
        """What the tool said lately, for ``without_own_voice``."""
        return self._mouth.spoken

    @property
    def lacks(self) -> str:
        """Why less is said aloud than was wanted, as a sentence; empty where all is well."""
        return self._mouth.lacks

    @property
    def question_put(self) -> Question | None:
        """The question that may be answered now."""
        return self._put

    def examiners(self, words: str) -> str:
        """The words being spoken without those of the tool's own voice, for the screen."""
        since_s = self._now_s - LATELY_S
        return after_own_words(words, (s for s in self.spoken if s.end_s > since_s))

    @property
    def busy(self) -> bool:
        """Whether something is being said, or waits to be answered or asked."""
        more = self._agenda.last_round and self._agenda.next() is not None
        return self._mouth.sounding() or bool(self._told) or self._put is not None or more

    # ---- what the loop tells

    def tick(self, now_s: float, speech: bool, silent_s: float) -> None:
        """Take note of the time; say what can be said now. To be called for every chunk.

        Args:
            now_s: How much sound the microphone has given, in seconds.
            speech: Somebody speaks now.
            silent_s: How long nobody has spoken, in seconds.
        """
        self._now_s = now_s
        if self._mouth.speaking(now_s, speech):
            return
        if now_s > self._until_s and silent_s >= PAUSE_S:
            self._rest()  # an utterance that began in time has been handed out by now
        if not speech and silent_s >= PAUSE_S and now_s >= self._mouth.quiet_from_s:
            self._say_next()

    def take(self, event: Event, session: Session) -> None:
        """Take note of what happened (an observer of the loop)."""
        match event:
            case Level(dbfs):
                self._mouth.level(dbfs, self._now_s)
            case Partial(text):
                self._mouth.words(text)
            case HeardUtterance(utterance, heard):
                self._heard(utterance, heard)
            case ByHand(heard):
                self._by_hand(heard)
            case State(_, listening, _):
                self._asks = listening
                if not listening:
                    self._rest()
            case Trouble(sentence):
                self._told.append((sentence, "trouble"))
            case Request(kind, _):
                self._requested(kind)
            case Finished():
                self._put = None
                self._told.clear()

    def sort(self, utterance: Utterance) -> Utterance | Answer | Request | None:
        """Tell what an utterance is, once it is complete.

        Args:
            utterance: As the recogniser heard it.

        Returns:
            An answer that the session has taken; a request; the utterance, without any words of
            the tool's own, to be heard by the session; or None where the tool alone was heard.
        """
        rest = without_own_voice(utterance, self.spoken)
        if rest is None:
            return None
        answer = self.answer(rest)
        if answer is not None:
            return answer
        request = request_of(rest, self._session.grammar, self._put is not None)
        return request if request is not None else rest

    def answer(self, utterance: Utterance) -> Answer | None:
        """Take an utterance as the answer to the question that was put.

        Args:
            utterance: What was heard, without the tool's own words and no request.

        Returns:
            What it came to, or None where it is no answer: then it is a statement like any other.
        """
        question = self._put
        if question is None or not self._in_time(utterance):
            return None
        words = answer_in(utterance, question, self._reader, self._session.grammar)
        if words is None:
            if is_curt(utterance, question, self._reader):
                return self._not_understood(question, utterance)
            return None
        if any(w.confidence is not None and w.confidence < UNSURE for w in utterance.words):
            return self._not_understood(question, utterance)
        try:
            heard = self._session.answer(question.id, words, utterance)
        except UsageError:
            return None
        self._put = None
        if heard.added:
            self._latest = heard.added[-1]
        return Answer(question.id, words, heard, utterance)

    def ask_the_rest(self) -> bool:
        """The examiner is done: put every question that is still open once more.

        Returns:
            Whether there is one; the loop goes on until ``busy`` is False.
        """
        self._agenda.begin_last_round()
        self._asks = True
        return self._agenda.next() is not None or self._put is not None

    # ---- inside

    def _heard(self, utterance: Utterance, heard: Heard) -> None:
        """A statement, or talk: whoever goes on leaves the question for later."""
        self._rest()
        self._agenda.heard(utterance, heard)
        if heard.added:
            self._latest = heard.added[-1]

    def _by_hand(self, heard: Heard) -> None:
        """A question that was settled elsewhere is not asked any more; its number may be
        another's since, so the one that is put is found by all that it says."""
        if heard.added:
            self._latest = heard.added[-1]
        if self._put is not None and self._put not in self._session.record().questions:
            self._put = None
            if self._asking:
                self._mouth.stop(self._now_s)

    def _requested(self, kind: str) -> None:
        grammar, record = self._session.grammar, self._session.record()
        if kind == "hear_last":
            self._told.append((last_finding(record, self._latest, grammar), "done"))
        elif kind == "what_is_missing":
            self._told.append((missing(record, grammar), "done"))
        elif kind == "repeat_question":
            self._put = None  # it is still the next one
        elif kind == "what_to_say" and self._put is not None:
            self._told.append((may_be_answered(self._put, grammar, aloud=True), "done"))
        elif kind in {"later", "pause"}:
            self._rest()

    def _say_next(self) -> None:
        """One thing: first what was asked for or went wrong, then the next question."""
        if self._told:
            sentence, instead = self._told.pop(0)
            self._asking = False
            over_s = self._mouth.say(sentence, self._now_s, instead)
            self._until_s = max(self._until_s, over_s + ANSWER_S)
            return
        if not self._asks or self._put is not None or self._agenda.with_patient:
            return
        question = self._agenda.next()
        if question is not None:
            self._ask(question)

    def _ask(self, question: Question) -> None:
        self._put, self._put_s, self._asking = question, self._now_s, True
        over_s = self._mouth.say(question_words(question), self._now_s, "asks")
        self._until_s = over_s + ANSWER_S

    def _rest(self) -> None:
        """Leave the question for later; it stays open, and is not said to its end."""
        if self._put is None:
            return
        self._agenda.rest(self._put)
        self._put = None
        if self._asking:
            self._mouth.stop(self._now_s)

    def _not_understood(self, question: Question, utterance: Utterance) -> Answer:
        if self._agenda.again(question):
            self._put = None
        else:
            self._rest()
        return Answer(question.id, "", None, utterance)

    def _in_time(self, utterance: Utterance) -> bool:
        """It began after the question did and before the time for its answer was over."""
        if utterance.start is None:
            return True
        return self._put_s <= utterance.start <= self._until_s
