"""A narration so far: frozen, and the fold of its events.

What an utterance, an answer or a correction changes is a list of events; ``apply`` folds one in. A
preview is a fold that is thrown away.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Literal

from dictate.model import Change, Finding, Question, Record, Utterance
from dictate.parse.categories import Claim
from dictate.parse.holds import Holds
from dictate.parse.items import Lattice
from dictate.parse.targets import Target


@dataclass(frozen=True, slots=True)
class Entry:
    """A finding in the record, with the claim and the utterance that it came from."""

    id: int
    finding: Finding
    claim: int
    utterance: int
    labels: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Open:
    """An open question with all that an answer needs to become findings."""

    question: Question
    number: int
    utterance: int
    lattice: Lattice | None = field(default=None, repr=False)
    claim: Claim | None = field(default=None, repr=False)
    holds: Holds = field(default_factory=Holds)
    before: tuple[Target, ...] = ()
    given: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class State:
    """Everything known of one narration."""

    entries: tuple[Entry, ...] = ()
    open: tuple[Open, ...] = ()
    utterances: tuple[Utterance, ...] = ()
    history: tuple[Change, ...] = ()
    notices: tuple[str, ...] = ()
    holds: Holds = field(default_factory=Holds)
    run: tuple[int, ...] = ()
    claims: int = 0
    ids: int = 0
    asked: int = 0
    opened: bool = False
    waiting: str | None = None
    replying: bool = False
    labelled: bool = False

    def record(self) -> Record:
        """What it all adds up to."""
        return Record(
            tuple(entry.finding for entry in self.entries),
            tuple(one.question for one in self.open),
            self.utterances,
            self.history,
            self.notices,
        )


EventKind = Literal[
    "added", "changed", "removed", "asked", "closed", "held", "listed", "noticed", "past", "set"
]


@dataclass(frozen=True, slots=True)
class Event:
    """One change of a narration: what kind, and what it is about."""

    kind: EventKind
    data: dict[str, Any]


def _with(state: State, **changes: Any) -> State:
    """The state with other fields; ``dataclasses.replace`` costs three times as much."""
    twin = object.__new__(State)
    twin.__dict__.update(state.__dict__, **changes)
    return twin


def apply(state: State, event: Event) -> State:
    """The narration after one more event."""
    data = event.data
    if event.kind == "added":
        entry = Entry(
            state.ids,
            data["finding"],
            state.claims,
            len(state.utterances),
            data.get("labels", frozenset()),
        )
        return _with(state, entries=(*state.entries, entry), ids=state.ids + 1)
    if event.kind == "changed":
        entries = tuple(
            replace(e, finding=data["finding"]) if e.id == data["id"] else e for e in state.entries
        )
        return _with(state, entries=entries)
    if event.kind == "removed":
        entries = tuple(e for e in state.entries if e.id != data["id"])
        return _with(state, entries=entries, run=tuple(i for i in state.run if i != data["id"]))
    if event.kind == "asked":
        return _with(state, open=(*state.open, data["open"]), asked=state.asked + 1)
    if event.kind == "closed":
        return _with(state, open=tuple(o for o in state.open if o.question.id != data["id"]))
    if event.kind == "held":
        return _with(state, holds=data["holds"])
    if event.kind == "listed":
        return _with(state, utterances=(*state.utterances, data["utterance"]))
    if event.kind == "noticed":
        return _with(state, notices=(*state.notices, data["sentence"]))
    if event.kind == "past":
        return _with(state, history=(*state.history, data["change"]))
    return _with(state, **data)
