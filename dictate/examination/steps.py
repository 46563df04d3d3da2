"""Which events count, and in which order they are followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from dictate.journal.plain import from_plain
from dictate.model import Utterance

Data = dict[str, Any]

#: Events in which somebody decided something by hand; each can be undone.
BY_HAND = ("typed", "words", "sorted", "put", "changed", "taken_out", "replied", "patient")
#: Events that begin or take up a journal, and name the program that does.
OPENING = ("started", "opened")
#: What a line says that it changed.
CHANGES = ("added", "removed", "asked", "settled")
#: Those that change how something heard is read, wherever it stands.
TURNING = ("words", "sorted", "undone", "reading", "read")
#: All that a session is told.
FOLLOWED = (
    "utterance", "answer", "request", "notice", "typed", "put", "changed", "taken_out", "replied",
)  # fmt: skip
#: Events that bring an utterance whose words can be put right, and whose kind can be changed.
SPOKEN = ("utterance", "answer", "request", "typed")
#: Those after which the note, or what it says of itself, may be another.
CHANGING = (*FOLLOWED, *TURNING, "patient", "signed", "sound")
#: Stretches of sound that share more than this part of the longer one are the same.
OVERLAP = 0.5


@dataclass(frozen=True, slots=True)
class Step:
    """Something decided by hand, for the list of what was done.

    ``event``: one of BY_HAND or ``signed``. ``undone``: it does not count now.
    """

    number: int
    at: str
    event: str
    sentence: str
    undone: bool


@dataclass(frozen=True)
class Move:
    """One event to follow, with the words and the kind that were set by hand for it.

    ``lost``: it set words or a kind for an utterance that is no more there.
    """

    event: Data
    words: str | None = None
    kind: str | None = None
    lost: bool = False

    @cached_property
    def utterance(self) -> Utterance:
        """The utterance that the event brings.

        Raises:
            ValueError: It brings none.
        """
        return from_plain(Utterance, self.event["utterance"])

    def same(self, other: Move) -> bool:
        """Whether it says the same as another."""
        mine, its = (self.words, self.kind, self.lost), (other.words, other.kind, other.lost)
        return self.event is other.event and mine == its


def undone(events: Sequence[Data]) -> set[int]:
    """The numbers of the events that do not count, since somebody undid them.

    An undoing that was itself undone does not count.
    """
    gone: set[int] = set()
    for event in reversed(events):
        if event["event"] == "undone" and event["n"] not in gone:
            gone.add(event["of"])
    return gone


def moves(events: Sequence[Data]) -> list[Move]:
    """What is to be followed, in order.

    Args:
        events: The journal's.
    """
    gone = undone(events)
    rows, readings = latest_reading([event for event in events if event["n"] not in gone])
    words: dict[int, str] = {}
    kinds: dict[int, str] = {}
    lost: set[int] = set()
    for event in rows:
        if event["event"] not in ("words", "sorted"):
            continue
        found = _utterance_of(event, rows, readings)
        if found is None:
            lost.add(event["n"])
        elif event["event"] == "words":
            words[found["n"]] = event["text"]
        else:
            kinds[found["n"]] = event["kind"]
    return [
        Move(event, words.get(event["n"]), kinds.get(event["n"]), event["n"] in lost)
        for event in rows
        if event["event"] in FOLLOWED or event["n"] in lost
    ]


def _utterance_of(event: Data, rows: Sequence[Data], readings: int) -> Data | None:
    """The event that brought the utterance for which words or a kind were set."""
    for row in rows:
        same = "utterance" in row and row["event"] in FOLLOWED
        if same and row["utterance"]["id"] == event["utterance"]:
            # numbers of what was heard mean something only in the reading they are of
            if row["event"] != "utterance" or event.get("reading", 0) == readings:
                return row
            break
    was = from_plain(Utterance, event["was"])
    heard = (row for row in rows if row["event"] == "utterance")
    alike = [x for x in heard if _same(from_plain(Utterance, x["utterance"]), was)]
    return alike[0] if len(alike) == 1 else None  # said twice in the same words: which one?


def _same(one: Utterance, was: Utterance) -> bool:
    """The same stretch of sound, or of typed text the same words."""
    if one.start is None or one.end is None or was.start is None or was.end is None:
        return one.start is was.start and one.text == was.text
    shared = min(one.end, was.end) - max(one.start, was.start)
    return shared > OVERLAP * max(one.end - one.start, was.end - was.start)


def latest_reading(events: Sequence[Data]) -> tuple[list[Data], int]:
    """The events with what was heard last in the place of what was heard before.

    A reading counts once it is whole (``read``); decisions stand where they stood: after what
    had been heard when they were made.

    Returns:
        The events; and how many readings came after the first.
    """
    rows: list[Data] = []
    since: int | None = None
    whole = 0
    for event in events:
        if event["event"] == "reading":
            if since is not None:
                rows = _without_heard(rows, since)  # it was broken off
            since = len(rows)
        elif event["event"] == "read":
            if since is not None:
                rows, whole = _replaced(rows[:since], rows[since:]), whole + 1
            since = None
        elif event["event"] in OPENING and since is not None:
            rows, since = _without_heard(rows, since), None  # it was broken off, and taken up
        else:
            rows.append(event)
    return (_without_heard(rows, since) if since is not None else rows), whole


def _without_heard(rows: list[Data], since: int) -> list[Data]:
    return [*rows[:since], *(row for row in rows[since:] if row["event"] != "utterance")]


def _replaced(before: list[Data], after: list[Data]) -> list[Data]:
    """What was decided before, among what was heard anew."""
    old = [row for row in before if row["event"] == "utterance"]
    new = [row for row in after if row["event"] == "utterance"]
    rest = [row for row in after if row["event"] != "utterance"]
    result: list[Data] = []
    heard = used = 0
    for row in before:
        if row["event"] == "utterance":
            heard += 1
            continue
        place = max(used, _place(old[:heard], len(old), new))
        result += [*new[used:place], row]
        used = place
    return [*result, *new[used:], *rest]


def _place(before: Sequence[Data], of: int, new: Sequence[Data]) -> int:
    """How many new utterances come before what came after some old ones."""
    if not before or len(before) == of:
        return len(new) if before else 0
    last = from_plain(Utterance, before[-1]["utterance"])
    if last.end is not None:
        return sum((row["utterance"].get("start") or 0.0) < last.end for row in new)
    alike = [i for i, row in enumerate(new, 1) if row["utterance"]["text"] == last.text]
    return alike[-1] if alike else min(len(before), len(new))
