"""Which question comes next: those that rest, those that were passed over, and when they return."""

from __future__ import annotations

from dictate.interpret.reader import reader_of
from dictate.listen.areas import area_of
from dictate.model import Question, Record, Utterance
from dictate.session import Heard, Session

#: How often a question is put again at once, where its answer was not understood.
_AGAIN = 2


def waiting(record: Record) -> tuple[Question, ...]:
    """The open questions that the examiner has not passed over."""
    passed = {c.question.id for c in record.history if c.what == "skipped" and c.question}
    return tuple(question for question in record.questions if question.id not in passed)


class Agenda:
    """The open questions of a session, in the order in which they are put."""

    def __init__(self, session: Session) -> None:
        """Take a session; questions that it passed over earlier are not put again."""
        self._session = session
        self._reader = reader_of(session.grammar)
        self._rests: set[str] = set()
        self._unclear: dict[str, int] = {}
        self._area: str | None = None
        self.with_patient = False
        self.last_round = False

    def next(self) -> Question | None:
        """The question to put next, if there is one."""
        open_now = waiting(self._session.record())
        return next((q for q in open_now if q.id not in self._rests), None)

    def rest(self, question: Question) -> None:
        """Leave a question until the next section, or the end."""
        self._rests.add(question.id)

    def again(self, question: Question) -> bool:
        """Its answer was not understood.

        Returns:
            Whether it is put again at once; after two times it is left until later.
        """
        self._unclear[question.id] = self._unclear.get(question.id, 0) + 1
        return self._unclear[question.id] <= _AGAIN

    def heard(self, utterance: Utterance, heard: Heard) -> None:
        """Take note of where the examination is; with a new section all questions return."""
        if heard.kind != "remark":
            self.with_patient = heard.kind in {"to_patient", "by_patient"}
        area = area_of(utterance, heard, self._session.grammar, self._reader)
        if area is None or area == self._area:
            return
        if self._area is not None:
            self._rests.clear()
        self._area = area

    def begin_last_round(self) -> None:
        """The examiner is done: every open question returns once more."""
        self.last_round, self.with_patient = True, False
        self._rests.clear()
