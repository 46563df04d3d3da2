"""Each way of saying with each subject, on either side, alone and after another finding; judged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from dictate.model import OTHER_SIDE, Record

from .subjects import NOT_DONE, Row, Subject, data, hear, rows, subjects

Mark = Literal["right", "asked", "lost", "wrong"]


@dataclass(frozen=True)
class Line:
    """One utterance: a way with its subject, and what was said before it."""

    kind: str
    way: str
    subject: Subject
    text: str
    before: tuple[Row, ...]

    @property
    def said(self) -> str:
        """As a list shows it."""
        return self.text


@dataclass(frozen=True)
class Judged:
    """What became of a line. ``present``: what was denied, doubted or another's was recorded."""

    line: Line
    mark: Mark
    present: bool
    found: tuple[Row, ...]


def kinds() -> list[str]:
    """The kinds of statements, in order."""
    return list(data()["kinds"])


def lines(kind: str) -> Iterator[Line]:
    """All lines of a kind."""
    spec = data()["kinds"][kind]
    for way in spec["ways"]:
        for subject in subjects_of(spec["of"]):
            text = way.format(**subject.words)
            text = text[0].upper() + text[1:]
            yield Line(kind, way, subject, text, ())
            before, found = _before(subject)
            yield Line(kind, way, subject, f"{before}. {text}", found)


@cache
def subjects_of(kind: str) -> tuple[Subject, ...]:
    """The subjects of a kind, found once."""
    return tuple(subjects(kind))


@cache
def _said_before(template: str, side: str) -> tuple[str, tuple[Row, ...]]:
    text = template.format(other=OTHER_SIDE[side])
    return text[0].upper() + text[1:], tuple(rows(hear(text)))


def _before(subject: Subject) -> tuple[str, tuple[Row, ...]]:
    """Another finding, on the other side, of another test."""
    for template in data()["before"]:
        text, found = _said_before(template, subject.side or "right")
        if all(row[0] != subject.test for row in found):
            break
    return text, found


def judge(line: Line) -> Judged:
    """Say it, and judge what came of it by what its kind expects."""
    record = hear(line.text)
    expect = data()["kinds"][line.kind]["expect"]
    found, missing = _apart(rows(record), line.before)
    subject = line.subject
    present = any(row[0] == subject.test and row[3] == subject.row[3] for row in found)
    mark = _EXPECTED[expect](subject, found, record)
    if mark != "wrong" and missing:
        mark = "asked" if record.questions else "lost"
    return Judged(line, mark, present, tuple(found))


def _apart(found: list[Row], before: tuple[Row, ...]) -> tuple[list[Row], bool]:
    """The findings without those of what was said before; whether one of those is missing."""
    left = list(found)
    missing = False
    for row in before:
        if row in left:
            left.remove(row)
        else:
            missing = True
    return left, missing


def _recorded(subject: Subject, found: list[Row], record: Record) -> Mark:
    """One of the values that it may be, on its own side, and nothing else."""
    fine = [
        row
        for row in found
        if row[0] == subject.test
        and row[3] in subject.absent
        and row[2] in (subject.side, None if row[1] in (None, "all") else subject.side)
    ]
    if len(fine) < len(found):
        return "wrong"
    if record.questions:
        return "asked"
    return "right" if found else "lost"


def _open(subject: Subject, found: list[Row], record: Record) -> Mark:
    """A question is due; or the one value that is left."""
    mark = _recorded(subject, found, record)
    return "right" if mark == "asked" else mark


def _asked(subject: Subject, found: list[Row], record: Record) -> Mark:
    if found:
        return "wrong"
    return "right" if record.questions else "lost"


def _remark(subject: Subject, found: list[Row], record: Record) -> Mark:
    if found:
        return "wrong"
    return "asked" if record.questions else "right"


def _not_done(subject: Subject, found: list[Row], record: Record) -> Mark:
    fine = [row for row in found if row[0] == subject.test and row[3] in NOT_DONE]
    if len(fine) < len(found):
        return "wrong"
    if record.questions:
        return "asked"
    return "right" if found else "lost"


_EXPECTED = {
    "denied": _recorded,
    "denied_value": _recorded,
    "not_normal": _open,
    "not_moved": _open,
    "asked": _asked,
    "remark": _remark,
    "not_done": _not_done,
}
