"""The record in Python: read this first.

Everything here is frozen and has no behaviour beyond its shape. Times are seconds from the
start of the sound, ``None`` for typed text. Character positions count from the start of an
utterance's text, end exclusive. Confidence runs from 0 to 1, ``None`` where nothing was measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Side = Literal["right", "left"]
OTHER_SIDE: dict[str, Side] = {"right": "left", "left": "right"}
DisputeKind = Literal["doubted", "other", "talk", "far", "apart"]
Hand = Literal["added", "corrected"]
UtteranceKind = Literal["finding", "command", "to_patient", "by_patient", "remark"]
QuestionKind = Literal["side", "value", "site", "test", "scale", "conflict", "heard", "referent"]

#: Where one utterance is several kinds, the first in this order is its kind.
UTTERANCE_KINDS: tuple[UtteranceKind, ...] = (
    "finding",
    "command",
    "to_patient",
    "by_patient",
    "remark",
)
QUESTION_KINDS: tuple[QuestionKind, ...] = (
    "side",
    "value",
    "site",
    "test",
    "scale",
    "conflict",
    "heard",
    "referent",
)


@dataclass(frozen=True, slots=True)
class Word:
    """One word as heard; ``start`` and ``end`` cut it out of its utterance's text.

    ``agreed``: whether another listener heard something there that sounds like it; None where
    no other listened.
    """

    text: str
    start: int
    end: int
    start_s: float | None = None
    end_s: float | None = None
    confidence: float | None = None
    agreed: bool | None = None


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one listener heard of an utterance: "taught" (by the grammar), "open", or another."""

    listener: str
    text: str
    words: tuple[Word, ...] = ()


@dataclass(frozen=True, slots=True)
class Disputed:
    """A stretch of an utterance's text where another listener heard something else.

    ``instead`` is what ``listener`` heard, perhaps nothing; ``start`` equals ``end`` where only it
    heard something. ``kind``: ``doubted``, nothing confirms the text; ``other``, both are words
    of the trade that sound alike; ``talk``, the text is talk as the open listener heard it, and
    ``instead`` is what the taught one made of it; ``far``, it was much quieter than what is
    spoken near the microphone, and perhaps another in the room said it; ``apart``, two listeners
    heard two things and neither is much the likelier. ``lead``: of ``apart``, how much likelier the
    text is for the sound than ``instead`` (nats; below 0 where it is not), None where nobody knows.
    """

    start: int
    end: int
    instead: str
    listener: str
    kind: DisputeKind = "doubted"
    lead: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """Another way to hear a whole utterance, judged as the first one was.

    ``behind``: how much less likely it is (difference of logarithms, 0 and more). ``hearing``:
    the words as the taught listener would have heard them. The rest as in an utterance.
    """

    behind: float
    text: str
    words: tuple[Word, ...]
    disputed: tuple[Disputed, ...]
    hearing: Hearing


@dataclass(frozen=True, slots=True)
class Utterance:
    """What was heard between two pauses, or one line of typed text. Nothing spoken is dropped.

    ``hearings`` holds what each listener heard, where several listened, and ``disputed`` where
    they do not agree. ``readings``: other ways to hear it, likeliest first; no record holds them.
    ``hand``: what people did by hand: ``added``, nobody spoke it, it was typed or chosen
    afterwards; ``corrected``, it was spoken, and its words were put right. None: as it was heard.
    """

    id: str
    text: str
    start: float | None = None
    end: float | None = None
    words: tuple[Word, ...] = ()
    kind: UtteranceKind | None = None
    hearings: tuple[Hearing, ...] = ()
    disputed: tuple[Disputed, ...] = ()
    readings: tuple[Reading, ...] = ()
    hand: Hand | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """A stretch of an utterance that something was taken from."""

    utterance: str
    start: int
    end: int
    start_s: float | None = None
    end_s: float | None = None
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the examiner stated. ``normal`` is None where the trade has no normal.

    ``site_said`` is the name the site was called by, where that is not the site's own
    ("iliopsoas" for the site hip_flexion); the note uses it. ``checked``: whether a second
    listener heard it too; None where nobody listened (typed text).
    """

    test: str
    site: str | None
    side: Side | None
    value: str
    detail: tuple[str, ...] = ()
    normal: bool | None = None
    said: tuple[Place, ...] = ()
    site_said: str | None = None
    checked: bool | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a question, with the findings that it would add."""

    label: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """What must be asked before the note is complete. Its findings are in no record until then."""

    id: str
    kind: QuestionKind
    about: tuple[Place, ...]
    prompt: str
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """A line of the history: what took a finding or a question out of the record, and why."""

    what: Literal["corrected", "taken_back", "questioned", "answered", "skipped"]
    utterance: str
    finding: Finding | None = None
    question: Question | None = None


@dataclass(frozen=True, slots=True)
class Signature:
    """That an examiner put a name to the note and marked it as checked.

    ``at``: time of day, ISO 8601, UTC. The hashes (SHA-256, hexadecimal) are of the record (JSON)
    and the note (plain text) as they were signed. They show that something was changed, and not
    who changed it or who signed. ``holds``: what is kept still has these hashes.
    """

    by: str
    at: str
    record_sha256: str
    note_sha256: str
    holds: bool = True


@dataclass(frozen=True, slots=True)
class Addendum:
    """What came after a signature and is no part of what was signed.

    ``added``, ``removed``: findings; one that was changed is in both. ``asked``, ``settled``:
    questions. ``utterances``: those that are new or were changed since. ``at``: time of the last
    of it, ISO 8601, UTC. ``signature``: None while it is a draft.
    """

    at: str
    added: tuple[Finding, ...] = ()
    removed: tuple[Finding, ...] = ()
    asked: tuple[Question, ...] = ()
    settled: tuple[Question, ...] = ()
    utterances: tuple[Utterance, ...] = ()
    signature: Signature | None = None


@dataclass(frozen=True, slots=True)
class Examined:
    """What belongs to an examination and was not spoken.

    ``patient``: a random id, unless one was given. ``at``: when it began (ISO 8601, UTC).
    ``sound_sha256``: of the recording's file, where there is one. ``signature``: None for a draft;
    a record that has one is as it was signed, and what came later is in ``addenda``.
    """

    patient: str
    at: str
    sound_sha256: str | None = None
    signature: Signature | None = None
    addenda: tuple[Addendum, ...] = ()


@dataclass(frozen=True, slots=True)
class Record:
    """One narration's record. ``history`` holds what was replaced, answered or taken back.

    ``examined``: whose record it is and whether it is signed; None where it is kept nowhere.
    """

    findings: tuple[Finding, ...] = ()
    questions: tuple[Question, ...] = ()
    utterances: tuple[Utterance, ...] = ()
    history: tuple[Change, ...] = ()
    notices: tuple[str, ...] = field(default=())
    examined: Examined | None = None
