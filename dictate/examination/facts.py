"""What belongs to an examination beside what was said: whose it is, when, and its recording."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dictate.examination.steps import OPENING, undone

#: Letters and digits that are not taken for one another.
_SIGNS = "23456789abcdefghjkmnpqrstuvwxyz"
#: How many of them an id has: one in 30^10 that two are alike.
_LENGTH = 10


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of an examination.

    ``sound``: file name of the recording in the folder. ``program``: what began it. ``ended``:
    it was finished, or never had to be. ``whole``: its recording or text was read to the end.
    """

    patient: str
    at: str
    sound: str | None
    sound_sha256: str | None
    program: str
    grammar: str | None
    ended: bool
    whole: bool = True


def new_patient() -> str:
    """A random id for a patient who was not named."""
    return "".join(secrets.choice(_SIGNS) for _ in range(_LENGTH))


def facts_of(events: Sequence[dict[str, Any]]) -> Facts:
    """What the events say.

    Args:
        events: The journal's lines.
    """
    first = events[0] if events else {}
    gone = undone(events)
    patient = str(first.get("patient") or _unnamed(first))
    sound, sha256, ended = first.get("sound"), None, False
    heard = read = False
    for event in events:
        if event["n"] in gone:
            continue
        if event["event"] == "patient":
            patient = event["patient"]
        elif event["event"] == "sound":
            sound, sha256 = event["name"], event["sha256"]
        elif event["event"] in ("ended", "resumed"):
            ended = event["event"] == "ended"
        heard = heard or (event["event"] == "utterance" and "added" not in event)
        read = read or event["event"] == "read"
    program = str(first.get("program") or "listen")
    return Facts(
        patient, str(first.get("at", "")), sound, sha256, program, first.get("grammar"),
        ended or program != "listen", read or not heard,
    )  # fmt: skip


def holder_of(events: Sequence[dict[str, Any]]) -> str:
    """The program that opened it last, by its own word.

    Args:
        events: The journal's lines.
    """
    named = [str(e.get("program") or "listen") for e in events if e["event"] in OPENING]
    return named[-1] if named else "another program"


def _unnamed(first: dict[str, Any]) -> str:
    """An older journal names no patient: an id that is the same each time."""
    number = int.from_bytes(hashlib.sha256(repr(sorted(first.items())).encode()).digest())
    signs = []
    for _ in range(_LENGTH):
        number, digit = divmod(number, len(_SIGNS))
        signs.append(_SIGNS[digit])
    return "".join(signs)
