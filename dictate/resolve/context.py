"""What holds just now: headings, the last run of findings, what was asked."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.interpret.columns import Columns
from dictate.interpret.statement import Statement
from dictate.interpret.told import Told
from dictate.model import Finding, Place, Question


@dataclass(slots=True)
class Hold:
    """A side, site or test that holds for what follows, and where it was said.

    ``area``: the section of the item that a side was said with; in another it does not hold.
    ``told``: it was said to the patient ("on the right side, you are ..."); no summary is of it.
    ``more``: other sites that the same heading names ("right arm and leg:").
    ``part``: a muscle or a part of a limb said with an item; it is asked whether it holds.
    ``graded``: a test of which a grade was said in this utterance, or nothing yet, so that a bare
    grade that follows is of its scale. ``side``: that of a limb,
    both where it was named in the plural.
    """

    id: str
    place: Place
    area: str = ""
    told: bool = False
    part: bool = False
    more: tuple[str, ...] = ()
    graded: bool = False
    side: str | None = None


@dataclass(slots=True)
class Holds:
    """Everything that a statement may take from what was said before it.

    ``side``, ``site`` and ``test`` come from headings and hold on; ``item_side``, ``item_site``
    and ``item_test`` come from an item and hold within its utterance. ``columns``: which half of
    a pair is which side, as a heading has it. ``told``: the instruction to the patient that ended
    the utterance before.
    """

    side: Hold | None = None
    site: Hold | None = None
    test: Hold | None = None
    item_side: Hold | None = None
    item_site: Hold | None = None
    item_test: Hold | None = None
    section: str | None = None
    near: frozenset[str] = frozenset()
    columns: Columns | None = None
    told: Told | None = None

    def copy(self) -> Holds:
        """As it is now, for a question that is answered later."""
        return Holds(
            self.side, self.site, self.test,
            self.item_side, self.item_site, self.item_test, self.section, self.near, self.columns,
            self.told,
        )  # fmt: skip


@dataclass(slots=True)
class Entry:
    """A finding in the record, with what is needed to correct it."""

    finding: Finding
    statement: int
    utterance: int
    labels: frozenset[str] = frozenset()
    _seen: set[Place] = field(default_factory=set)

    def also_said(self, places: tuple[Place, ...]) -> tuple[Place, ...]:
        """Where it was said, with more places, each once; quick however often it is said."""
        if not self._seen:
            self._seen.update(self.finding.said)
        more = tuple(place for place in dict.fromkeys(places) if place not in self._seen)
        self._seen.update(more)
        return (*self.finding.said, *more)

    def twin(self) -> Entry:
        """The same once more, to be changed apart from the first."""
        return Entry(self.finding, self.statement, self.utterance, self.labels, set(self._seen))


@dataclass(slots=True)
class Pending:
    """An open question with all that an answer needs to become findings.

    ``withdrawn``: the entries that a correction took out of the record for it. ``held``: what
    would have been recorded, had the stage that decides not asked. ``turned``: a word that
    may turn its statement round is left over.
    """

    question: Question
    statement: Statement | None
    reading: object
    holds: Holds
    overrides: dict[str, str] = field(default_factory=dict)
    number: int = 0
    utterance: int = 0
    withdrawn: tuple[Entry, ...] = ()
    held: tuple[Finding, ...] = ()
    turned: bool = False

    def twin(self) -> Pending:
        """The same once more, to be changed apart from the first."""
        return Pending(
            self.question, self.statement, self.reading, self.holds, self.overrides, self.number,
            self.utterance, self.withdrawn, self.held, self.turned,
        )  # fmt: skip
