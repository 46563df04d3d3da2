"""What the screen shows, as plain facts: gathered from events, drawn elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from dictate.grammar.load import Grammar
from dictate.grammar.names import capital
from dictate.interpret.reader import reader_of
from dictate.listen.agenda import waiting
from dictate.listen.areas import area_of
from dictate.listen.events import (
    Answered,
    ByHand,
    Event,
    Finished,
    HeardUtterance,
    Level,
    Mode,
    Partial,
    Preview,
    Request,
    State,
    Trouble,
    Why,
)
from dictate.listen.replies import finding_words, last_finding, missing
from dictate.model import Finding, Question, UtteranceKind
from dictate.render.clauses import write_test
from dictate.render.document import not_mentioned
from dictate.render.unchecked import all_unchecked, marked, write_marked
from dictate.session import Session

#: What becomes of an utterance that is no finding.
_OUTCOMES: dict[UtteranceKind, str] = {
    "command": "understood",
    "to_patient": "talk with the patient: not noted",
    "by_patient": "talk with the patient: not noted",
    "remark": "no finding: kept word for word",
}
#: How long a trouble stays on the screen (seconds).
TROUBLE_S = 90.0


@dataclass(frozen=True, slots=True)
class View:
    """Everything that the screen shows.

    ``provisional``: the words may still change. ``sure``: what the words gave is in the record.
    ``heading`` and ``noted`` are the part of the examination that is being dictated.
    """

    mode: Mode = "always"
    listening: bool = False
    why: Why = "opening"
    words: str = ""
    provisional: bool = False
    outcome: str = ""
    added: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    sure: bool = True
    heading: str = ""
    noted: tuple[str, ...] = ()
    question: Question | None = None
    put: bool = False
    waiting: int = 0
    missing: tuple[str, ...] = ()
    said: str = ""
    trouble: str = ""
    level_dbfs: float | None = None
    elapsed_s: float = 0.0


class Viewer:
    """Keeps the view up to date (an observer of the loop)."""

    def __init__(
        self,
        session: Session,
        put: Callable[[], Question | None] = lambda: None,
        clock_s: Callable[[], float] = lambda: 0.0,
        examiners: Callable[[str], str] = str,
    ) -> None:
        """Begin with what the session holds (an examination may be going on).

        Args:
            session: Whose record is shown.
            put: Gives the question that is being asked just now.
            clock_s: Gives the length of the examination so far in seconds.
            examiners: Leaves the tool's own words out of those being spoken.
        """
        self._grammar: Grammar = session.grammar
        self._reader = reader_of(session.grammar)
        self._put, self._clock_s, self._examiners = put, clock_s, examiners
        self._area: str | None = None
        self._latest: Finding | None = None
        self._open: tuple[Question, ...] = ()
        self._trouble_s = 0.0
        self.view = View()
        self._record(session)

    def take(self, event: Event, session: Session) -> None:
        """Take note of what happened."""
        match event:
            case Partial(text):
                if rest := self._examiners(text):
                    self._set(words=rest, provisional=True, outcome="", added=(), removed=())
                elif self.view.provisional:
                    self._set(words="", provisional=False)
            case Preview(utterance, heard):
                self._set(words=utterance.text, provisional=True)
                self._changes(heard.added, heard.removed, sure=False)
            case HeardUtterance(utterance, heard):
                outcome = _OUTCOMES.get(heard.kind, "") if heard.kind else ""
                changed = heard.added or heard.removed or heard.asked or heard.settled
                self._set(
                    words=utterance.text,
                    provisional=False,
                    said="",
                    outcome="" if changed else outcome,
                )
                area = area_of(utterance, heard, self._grammar, self._reader)
                self._area = area or self._area
                self._changes(heard.added, heard.removed, sure=True)
                self._record(session)
            case Answered(_, words, heard):
                self._set(words=words, provisional=False, outcome="answer", said="")
                self._changes(heard.added, heard.removed, sure=True)
                self._record(session)
            case ByHand(heard):
                self._changes(heard.added, heard.removed, sure=True)
                self._record(session)
            case Request(kind, utterance):
                self._set(words=utterance.text, provisional=False, outcome="understood")
                self._reply(kind, session)
            case State(mode, listening, why):
                self._set(mode=mode, listening=listening, why=why)
            case Trouble(sentence):
                self._trouble_s = self._clock_s()
                self._set(trouble=sentence)
            case Level(dbfs):
                self._set(level_dbfs=dbfs)
            case Finished():
                self._set(listening=False, why="finished")
        self.look()

    def look(self) -> None:
        """Take note of what changes by itself: the time, and the question that is being asked."""
        now = self._clock_s()
        put = self._put()
        first = put or next(iter(self._open), None)
        old = self.view.trouble if now - self._trouble_s < TROUBLE_S else ""
        self._set(
            elapsed_s=now,
            question=first,
            put=put is not None,
            waiting=max(0, len(self._open) - 1),
            trouble=old,
        )

    def _set(self, **changes: object) -> None:
        self.view = replace(self.view, **changes)  # type: ignore[arg-type]

    def _changes(self, added: Sequence[Finding], removed: Sequence[Finding], sure: bool) -> None:
        if sure and added:
            self._latest = added[-1]
            self._area = self._grammar.area_of(added[-1].test).area
        self._set(
            added=tuple(finding_words(finding, self._grammar) for finding in added),
            removed=tuple(finding_words(finding, self._grammar) for finding in removed),
            sure=sure,
        )

    def _record(self, session: Session) -> None:
        """Look at the record as it is now."""
        record = session.record()
        if self._area is None and record.findings:
            self._area = self._grammar.area_of(record.findings[-1].test).area
        self._open = waiting(record)
        area = next((area for area in self._grammar.areas if area.area == self._area), None)
        tests = area.tests if area is not None else {}
        groups: dict[str, list[Finding]] = {}
        for finding in record.findings:
            if finding.test in tests:
                # a test spoken of again moves to the end, where the newest stands
                groups[finding.test] = [*groups.pop(finding.test, []), finding]
        alone = all_unchecked([finding for found in groups.values() for finding in found])
        write = write_test if alone else write_marked
        self._set(
            heading=marked(capital(area.heading.note), alone) if area is not None else "",
            noted=tuple(
                f"{sentence.text}."
                for found in groups.values()
                for sentence in write(self._grammar, found)
            ),
            missing=not_mentioned(record, self._grammar).phrases,
        )

    def _reply(self, kind: str, session: Session) -> None:
        if kind == "hear_last":
            self._set(said=last_finding(session.record(), self._latest, self._grammar))
        elif kind == "what_is_missing":
            self._set(said=missing(session.record(), self._grammar))
