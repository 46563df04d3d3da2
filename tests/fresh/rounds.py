"""A round of fresh narrations: the narrations, a gold written apart from them, and the count.

A round is a folder with two files. `narrations.yaml`::

    - {id: n01, style: a recogniser's text, lines: ["Right deltoid four.", "Biceps five."]}

`gold.yaml`, written from the contract alone (`../shared/contract`), questions left open::

    - id: n01
      find: [[strength, deltoid, right, "4", 1]]     # test, site, side, value, line (from 1)
      may: [[strength, biceps, right, "5"]]          # right as well, not demanded
      ask: [{kind: side, line: 2}]                   # what must be asked
      may_ask: [2]                                   # lines where a question is acceptable

A narration is one session, each line one typed utterance.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from dictate.model import Finding, Question, Record, Utterance

Row = tuple[str, str | None, str | None, str]
#: Hears the lines of one narration, in order.
Hear = Callable[[tuple[Utterance, ...]], Record]
_NONE = frozenset({"", "-", "~", "null"})


@dataclass(frozen=True, slots=True)
class Narration:
    """One narration and its gold; ``find`` and ``ask`` each with their line (from 1)."""

    id: str
    style: str
    lines: tuple[str, ...]
    find: tuple[tuple[Row, int], ...]
    may: tuple[Row, ...]
    ask: tuple[tuple[str, int], ...]
    may_ask: frozenset[int]

    @property
    def utterances(self) -> tuple[Utterance, ...]:
        """The lines as they are typed; an utterance's id is its line."""
        return tuple(Utterance(str(n), line) for n, line in enumerate(self.lines, 1))


@dataclass(slots=True)
class Score:
    """What became of one narration. Each list holds the thing and its line (from 1, 0: none).

    ``asked``: due questions that were asked, with whether the kind is the gold's.
    """

    narration: Narration
    captured: list[tuple[Row, int]] = field(default_factory=list)
    asked_about: list[tuple[Row, int]] = field(default_factory=list)
    lost: list[tuple[Row, int]] = field(default_factory=list)
    silent: list[tuple[Row, int]] = field(default_factory=list)
    asked: list[tuple[str, int, bool]] = field(default_factory=list)
    not_asked: list[tuple[str, int]] = field(default_factory=list)
    needless: list[tuple[str, int]] = field(default_factory=list)


def read_round(folder: Path) -> list[Narration]:
    """Read a round. Everything is taken as text, so that no value turns into a number.

    Raises:
        ValueError: The two files do not belong together, or a line is none of its narration.
    """
    # BaseLoader makes no numbers, dates or booleans: "no", 5 and 3:20 stay as they are written.
    told = yaml.load((folder / "narrations.yaml").read_text("utf-8"), yaml.BaseLoader)
    gold = yaml.load((folder / "gold.yaml").read_text("utf-8"), yaml.BaseLoader)
    by_id = {entry["id"]: entry for entry in gold}
    ids = [entry["id"] for entry in told]
    if len(by_id) != len(gold) or len(set(ids)) != len(ids) or set(ids) != set(by_id):
        wrong = sorted(set(ids) ^ set(by_id))
        raise ValueError(f"{folder}: an id comes twice, or narrations and gold differ: {wrong}")
    return [_narration(entry, by_id[entry["id"]]) for entry in told]


def _narration(told: dict[str, Any], gold: dict[str, Any]) -> Narration:
    lines = tuple(told["lines"])

    def line(number: str) -> int:
        if not 1 <= int(number) <= len(lines):
            raise ValueError(f"{told['id']}: line {number} of {len(lines)}")
        return int(number)

    unknown = set(gold) - {"id", "find", "may", "ask", "may_ask", "note"}
    if unknown:
        raise ValueError(f"{told['id']}: {', '.join(sorted(unknown))} is not known")
    return Narration(
        told["id"],
        told.get("style", ""),
        lines,
        tuple((_row(row), line(row[4])) for row in gold.get("find") or ()),
        tuple(_row(row) for row in gold.get("may") or ()),
        tuple((ask["kind"], line(ask["line"])) for ask in gold.get("ask") or ()),
        frozenset(line(number) for number in gold.get("may_ask") or ()),
    )


def _row(row: list[str]) -> Row:
    test, site, side, value = row[:4]
    return test, None if site in _NONE else site, None if side in _NONE else side, value


def row_of(finding: Finding) -> Row:
    """A finding as the gold writes it."""
    return finding.test, finding.site, finding.side, finding.value


def judge(narration: Narration, record: Record) -> Score:
    """Count what a record got right.

    A finding of the gold is captured where the record has it, each as often as it is there; else
    asked where a question is open about its line or holds it among its choices; else lost. A
    recorded finding that is neither demanded nor allowed is a silent error. A question answers for
    one question of the gold: one of the same line, of the same kind if there is such a one.
    """
    score = Score(narration)
    about = [(q, _lines(q)) for q in record.questions]
    open_lines = {line for _, lines in about for line in lines}
    offered = {row_of(f) for q in record.questions for c in q.choices for f in c.findings}
    recorded = Counter(row_of(f) for f in record.findings)
    for row, line in narration.find:
        if recorded[row]:
            recorded[row] -= 1
            score.captured.append((row, line))
        elif line in open_lines or row in offered:
            score.asked_about.append((row, line))
        else:
            score.lost.append((row, line))
    allowed = Counter(row for row, _ in narration.find) + Counter(narration.may)
    for finding in record.findings:
        row = row_of(finding)
        if allowed[row]:
            allowed[row] -= 1
        else:
            score.silent.append((row, _line(finding)))
    _questions(score, about)
    return score


def _questions(score: Score, about: list[tuple[Question, set[int]]]) -> None:
    due, free = list(score.narration.ask), list(about)
    for same in (True, False):
        for kind, line in list(due):
            found = next(
                (a for a in free if line in a[1] and (a[0].kind == kind or not same)), None
            )
            if found is not None:
                free.remove(found)
                due.remove((kind, line))
                score.asked.append((kind, line, same))
    score.not_asked = due
    fine = {line for _, line in score.narration.ask} | score.narration.may_ask
    for question, lines in about:
        if not lines & fine:
            score.needless.append((f"{question.kind}: {question.prompt}", max(lines, default=0)))


def _lines(question: Question) -> set[int]:
    return {int(place.utterance) for place in question.about}


def _line(finding: Finding) -> int:
    return max((int(place.utterance) for place in finding.said), default=0)


def judge_all(narrations: Iterable[Narration], hear: Hear) -> list[Score]:
    """Hear and judge each narration."""
    return [judge(narration, hear(narration.utterances)) for narration in narrations]
