"""Gold for real passages: what a careful clinician takes from each statement, and its score.

The passages themselves lie beside the checkout and are never copied here; the gold names them by
id and cuts their text by character. One file `gold_*.yaml` holds, by passage id, the statements::

    passage-id:
      - at: [0, 43]                  # characters of the passage's text, end exclusive
        finds: [strength deltoid right 4+, light_touch all - normal]
      - at: [44, 80]
        asks: true                   # nothing may be recorded; it must be asked about
      - at: [81, 120]
        remark: true                 # no test covers it, or it is history, a plan, a reading
      - at: [121, 140]
        finds: [...]
        or: [[...], [...]]           # other readings that a careful clinician would accept

A finding is written "test site side value", with "-" for no site and no side. `or` may stand beside
`asks` and `remark` too: findings that may be recorded there but need not be.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Literal

import yaml

from dictate.grammar import Grammar, load_grammar
from dictate.model import Finding, Place, Record, Utterance
from dictate.session import Session

HERE = Path(__file__).resolve().parent
PASSAGES = HERE.parents[2] / "shared" / "data" / "real_passages_dev.jsonl"

Row = tuple[str, str, str, str]
Span = tuple[int, int]
Mark = Literal["right", "asked", "lost", "wrong", "remark"]


@dataclass(frozen=True, slots=True)
class Passage:
    """One dictated passage. ``starts`` says where in ``text`` each utterance begins, by its id."""

    id: str
    text: str
    starts: dict[str, int]
    lines: tuple[Utterance, ...]


@dataclass(frozen=True, slots=True)
class Statement:
    """What one stretch of a passage must give; ``readings`` are the sets of findings accepted."""

    at: Span
    kind: Literal["finds", "asks", "remark"]
    readings: tuple[frozenset[Row], ...]

    @property
    def covered(self) -> bool:
        """Whether the statement counts in the score: a remark does not."""
        return self.kind != "remark"

    @property
    def accepted(self) -> frozenset[Row]:
        """Every finding that some reading of the statement holds."""
        return frozenset().union(*self.readings)


@dataclass(frozen=True, slots=True)
class Heard:
    """One passage as the program took it; places are cut out of the passage's text."""

    findings: tuple[tuple[Row, tuple[Span, ...]], ...]
    questions: tuple[tuple[str, str, tuple[Span, ...]], ...]


@dataclass(slots=True)
class Judged:
    """One passage's score: a mark for each statement, and the findings that contradict the gold.

    ``needless`` counts questions that touch no statement to be asked about and none asked.
    """

    passage: str
    marks: list[tuple[Statement, Mark]] = field(default_factory=list)
    contradictions: list[tuple[Row, Span]] = field(default_factory=list)
    unjudged: list[tuple[Row, Span]] = field(default_factory=list)
    needless: int = 0


def make_passage(name: str, text: str) -> Passage:
    """Cut a text into utterances, one for each line that is not blank."""
    lines, starts, at = [], {}, 0
    for line in text.split("\n"):
        if line.strip():
            lines.append(Utterance(f"u{len(lines) + 1}", line))
            starts[lines[-1].id] = at
        at += len(line) + 1
    return Passage(name, text, starts, tuple(lines))


def read_passages(source: Path = PASSAGES) -> list[Passage]:
    """Read a folder of .txt files (named by passage) or a file of one JSON object a line."""
    if source.is_dir():
        files = sorted(source.glob("*.txt"))
        return [make_passage(file.stem, file.read_text("utf-8")) for file in files]
    rows = [json.loads(line) for line in source.read_text("utf-8").splitlines() if line.strip()]
    return [make_passage(row["id"], row["text"]) for row in rows]


def read_gold(folder: Path = HERE) -> dict[str, tuple[Statement, ...]]:
    """Read every `gold_*.yaml` of a folder.

    Raises:
        ValueError: A passage is judged twice, or a statement is not in the form above.
    """
    gold: dict[str, tuple[Statement, ...]] = {}
    for file in sorted(folder.glob("gold_*.yaml")):
        for name, entries in (yaml.safe_load(file.read_text("utf-8")) or {}).items():
            if name in gold:
                raise ValueError(f"{file.name}: {name} is judged twice")
            gold[name] = tuple(_statement(entry, f"{file.name}: {name}") for entry in entries)
    return gold


def _statement(entry: dict[str, Any], where: str) -> Statement:
    kinds = [kind for kind in ("finds", "asks", "remark") if entry.get(kind)]
    if len(kinds) != 1 or set(entry) - {"at", "or", *kinds}:
        raise ValueError(f"{where}: {entry} needs `at` and one of finds, asks, remark")
    first = [entry["finds"]] if kinds == ["finds"] else []
    readings = [frozenset(map(_row, rows)) for rows in [*first, *entry.get("or", [])]]
    start, end = entry["at"]
    return Statement((start, end), kinds[0], tuple(readings))  # type: ignore[arg-type]


def _row(words: str) -> Row:
    test, site, side, value = words.split(" ", 3)
    return test, site, side, value


@cache
def _grammar() -> Grammar:
    return load_grammar()


def hear(passage: Passage) -> Heard:
    """Dictate a passage, one line after the other."""
    session = Session(_grammar())
    for line in passage.lines:
        session.take(line)
    record: Record = session.record()

    def spans(places: Iterable[Place]) -> tuple[Span, ...]:
        begins = ((passage.starts[place.utterance], place) for place in places)
        return tuple((at + place.start, at + place.end) for at, place in begins)

    return Heard(
        tuple((row_of(finding), spans(finding.said)) for finding in record.findings),
        tuple((q.kind, q.prompt, spans(q.about)) for q in record.questions),
    )


def row_of(finding: Finding) -> Row:
    """A finding as the gold writes it."""
    return finding.test, finding.site or "-", finding.side or "-", finding.value


def overlap(spans: Iterable[Span], at: Span) -> int:
    """How many characters of a stretch the places cover."""
    return sum(max(0, min(end, at[1]) - max(start, at[0])) for start, end in spans)


def judge(passage: str, heard: Heard, statements: tuple[Statement, ...]) -> Judged:
    """Mark every statement of a passage.

    A finding is good where one of the statements that its places touch accepts it (a heading's
    words are places of all that stands under it); else it contradicts the statement it covers most.
    """
    judged = Judged(passage)
    wrong_at: set[Span] = set()
    for row, spans in heard.findings:
        touched = [st for st in statements if overlap(spans, st.at)]
        if any(row in st.accepted for st in touched):
            continue
        if touched:
            worst = max(touched, key=lambda st: overlap(spans, st.at)).at
            wrong_at.add(worst)
            judged.contradictions.append((row, worst))
        else:
            judged.unjudged.append((row, spans[0] if spans else (0, 0)))
    for statement in statements:
        mark: Mark = "wrong" if statement.at in wrong_at else _mark(statement, heard)
        judged.marks.append((statement, mark))
    open_to = [st.at for st, mark in judged.marks if st.kind == "asks" or mark == "asked"]
    judged.needless = sum(
        not any(overlap(spans, at) for at in open_to) for _, _, spans in heard.questions
    )
    return judged


def _mark(statement: Statement, heard: Heard) -> Mark:
    here = {row for row, spans in heard.findings if overlap(spans, statement.at)}
    asked = any(overlap(spans, statement.at) for _, _, spans in heard.questions)
    if statement.kind == "remark":
        return "remark"
    if any(reading <= here for reading in statement.readings):
        return "right"
    if asked:
        return "right" if statement.kind == "asks" else "asked"
    return "lost"


def judge_all(passages: Iterable[Passage], gold: dict[str, Any]) -> Iterator[Judged]:
    """Judge each passage that has gold."""
    for passage in passages:
        if passage.id in gold:
            yield judge(passage.id, hear(passage), gold[passage.id])


def totals(judged: Iterable[Judged]) -> Counter[str]:
    """Count marks of covered statements, contradictions, and questions that need not be asked."""
    count: Counter[str] = Counter(right=0, asked=0, lost=0, wrong=0)
    for one in judged:
        count.update(mark for statement, mark in one.marks if statement.covered)
        count["contradictions"] += len(one.contradictions) + len(one.unjudged)
        count["needless"] += one.needless
    return count
