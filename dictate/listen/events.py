"""What the loop tells its observers: a screen, a voice, a log in plain lines.

An observer is any object with ``take(event, session)``. It is called on the loop's own thread,
in the order in which things happened, and after the journal has the event on disk; it must
return at once (sound goes on arriving). It may read the session and must not change it.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol

from dictate.model import Utterance
from dictate.session import Heard, Session

#: When the examiner is listened to: all the time, between an opening and a closing phrase, or
#: while a key says so.
Mode = Literal["always", "phrase", "key"]
#: Why the loop listens or not: no sound has come yet, nothing said so, a phrase, a key, a spoken
#: pause, no microphone, the end.
Why = Literal["opening", "start", "phrase", "key", "pause", "microphone", "finished"]


@dataclass(frozen=True, slots=True)
class Partial:
    """Words of the utterance being spoken; they may still change. Empty: none any more."""

    text: str


@dataclass(frozen=True, slots=True)
class Preview:
    """The speaker has paused: what the utterance so far would change, if it ends here.

    Nothing of it is kept. A HeardUtterance with the same id follows, or another Preview if the
    speaker goes on.
    """

    utterance: Utterance
    heard: Heard


@dataclass(frozen=True, slots=True)
class HeardUtterance:
    """An utterance is complete, and what it changed is in the session and the journal."""

    utterance: Utterance
    heard: Heard


@dataclass(frozen=True, slots=True)
class Answered:
    """An open question was answered in these words; what that changed is in the session."""

    question_id: str
    words: str
    heard: Heard


@dataclass(frozen=True, slots=True)
class ByHand:
    """Somebody corrected or answered something in another program; the session has it.

    Questions may have other numbers since, or be open no more.
    """

    heard: Heard


@dataclass(frozen=True, slots=True)
class State:
    """What is on now. ``listening`` is False while paused or between closing and opening."""

    mode: Mode
    listening: bool
    why: Why


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something goes wrong, or is well again: one sentence to show and to say."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Level:
    """How loud the last quarter of a second was, in dBFS (AES17: a full sine wave is 0)."""

    dbfs: float


@dataclass(frozen=True, slots=True)
class Request:
    """A spoken request for the tool ("what is missing"), by its kind in the grammar.

    The loop carries out pause, go on, open, close and finish by itself, and hands every request
    to the observers: reading aloud and showing are theirs.
    """

    kind: str
    utterance: Utterance


@dataclass(frozen=True, slots=True)
class Finished:
    """The dictation has ended; the outputs are in this folder (None: nothing was written)."""

    folder: Path | None


Event = (
    Partial
    | Preview
    | HeardUtterance
    | Answered
    | ByHand
    | State
    | Trouble
    | Level
    | Request
    | Finished
)  # fmt: skip


class Observer(Protocol):
    """Whoever shows or says what happens."""

    def take(self, event: Event, session: Session) -> None:
        """Take one event.

        Args:
            event: What happened.
            session: The session as it is now; to be read, not changed.
        """
        ...
