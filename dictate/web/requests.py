"""What the page may ask to be done: the shape of each request, and the one call that does it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, StringConstraints

from dictate.examination import Examination
from dictate.model import UtteranceKind
from dictate.outputs import keep_current

Text = Annotated[str, StringConstraints(max_length=4000)]
Name = Annotated[str, StringConstraints(max_length=200)]
#: An id of ours.
Id = Annotated[str, StringConstraints(min_length=1, max_length=64)]
Perhaps = Annotated[str, StringConstraints(max_length=200)]


class Request(BaseModel):
    """Base: nothing beyond the named keys, no value turned into another kind."""

    model_config = ConfigDict(extra="forbid", strict=True)


class Answer(Request):
    """Answer an open question in words (a choice's label among them)."""

    question: Id
    words: Text


class Words(Request):
    """Put other words in the place of an utterance's."""

    utterance: Id
    text: Text


class Sort(Request):
    """Say what an utterance is."""

    utterance: Id
    kind: UtteranceKind


class Typed(Request):
    """Add a statement in words."""

    text: Text


class Change(Request):
    """Change a finding; what is left out stays. An empty side or site: none at all."""

    finding: Id
    value: Perhaps | None = None
    site: Perhaps | None = None
    side: Perhaps | None = None


class TakeOut(Request):
    """Take a finding out."""

    finding: Id


class Undo(Request):
    """Undo the last step, or the one with this number."""

    number: int | None = None


class Redo(Request):
    """Undo the last undoing."""


class Patient(Request):
    """Say who was examined."""

    patient: Name


class Sign(Request):
    """Mark the note as checked."""

    name: Name


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be done."""

    shape: type[Request]
    does: Callable[[Examination, Any], object]


def _sign(examination: Examination, request: Any) -> object:
    """Sign, and let the files in the folder say so at once."""
    signature = examination.sign(request.name)
    keep_current(examination)
    return signature


#: By the last part of the address.
ACTIONS: dict[str, Action] = {
    "answer": Action(Answer, lambda e, r: e.answer(r.question, r.words)),
    "words": Action(Words, lambda e, r: e.correct(r.utterance, r.text)),
    "sort": Action(Sort, lambda e, r: e.sort(r.utterance, r.kind)),
    "add": Action(Typed, lambda e, r: e.type(r.text)),
    "change": Action(
        Change, lambda e, r: e.change(r.finding, site=r.site, side=r.side, value=r.value)
    ),
    "take-out": Action(TakeOut, lambda e, r: e.take_out(r.finding)),
    "undo": Action(Undo, lambda e, r: e.undo(r.number)),
    "redo": Action(Redo, lambda e, r: e.redo()),
    "patient": Action(Patient, lambda e, r: e.name_patient(r.patient)),
    "sign": Action(Sign, _sign),
}
