"""Every proposal that the reader makes of the development texts, and whether its gold has it.

The texts: the passages beside the checkout, the statements of our own, the grammar's examples, and
every round of fresh narrations that was given up for development.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "fresh"), str(HERE.parent / "real")]

from gold import overlap, read_gold, read_passages  # noqa: E402
from rounds import read_round, row_of  # noqa: E402

from dictate.decide.features import Features, Proposal  # noqa: E402
from dictate.decide.stage import Verdict, stage_of  # noqa: E402
from dictate.examples import cases  # noqa: E402
from dictate.grammar import load_grammar  # noqa: E402
from dictate.model import Finding, Utterance  # noqa: E402
from dictate.session import Session  # noqa: E402

STATEMENTS = HERE.parent / "narrations" / "statements.yaml"


@dataclass(frozen=True, slots=True)
class Judged:
    """One proposal: its features, the words left over, and whether any of its findings is wrong.

    ``text``: the narration that it stands in, so that all of one are left out together.
    """

    source: str
    text: str
    said: str
    features: Features
    left: tuple[tuple[str, str, str], ...]
    findings: tuple[str, ...]
    wrong: bool


def all_judged(rounds: Sequence[Path]) -> list[Judged]:
    """Every proposal of the development texts.

    Args:
        rounds: Folders of fresh narrations that may be used.
    """
    stage = stage_of(load_grammar())
    stage.risk = 1.0  # everything is recorded, so that what follows from it is seen too
    seen: list[tuple[Proposal, Verdict]] = []
    stage.watch = lambda proposal, verdict: seen.append((proposal, verdict))
    out: list[Judged] = []
    for source, text, lines, right in _texts(rounds):
        seen.clear()
        session = Session(alone=True)
        for line in lines:
            session.take(line)
        stands = {row_of(finding) for finding in session.record().findings}
        out.extend(_judged(source, text, seen, right, stands))
    stage.watch = None
    stage.risk = stage_of(load_grammar()).risk
    return out


def _judged(source: str, text: str, seen: Any, right: Any, stands: set[Any]) -> Iterator[Judged]:
    for proposal, verdict in seen:
        left = [f for f in proposal.findings if row_of(f) in stands]
        if not left:
            continue  # corrected or asked about later
        wrong = any(not right(finding) for finding in left)
        reading = proposal.reading
        left = tuple((reading.text(x.span).lower(), x.kind, x.where) for x in verdict.left)
        said = reading.utterance.text
        rows = tuple(" ".join(map(str, row_of(f))) for f in proposal.findings)
        yield Judged(source, text, said, verdict.features, left, rows, wrong)


def _texts(rounds: Sequence[Path]) -> Iterator[tuple[str, str, list[Utterance], Any]]:
    gold = read_gold()
    for passage in read_passages():
        if passage.id in gold:
            yield (
                "passages",
                passage.id,
                list(passage.lines),
                _in_passage(passage, gold[passage.id]),
            )
    for number, case in enumerate(yaml.safe_load(STATEMENTS.read_text("utf-8"))):
        if "find" in case:
            said = [*case.get("before", []), case["say"]]
            yield "statements", f"s{number}", _typed(said), _in_rows(case["find"])
    for case in cases(load_grammar()):
        said = [*case.example.before, case.example.say]
        yield "examples", case.name, _typed(said), _in_rows(case.example.find or ())
    for folder in rounds:
        for narration in read_round(folder):
            rows = {row for row, _ in narration.find} | set(narration.may)

            def right(finding: Finding, rows: Any = rows) -> bool:
                return row_of(finding) in rows

            yield folder.name, narration.id, list(narration.utterances), right


def _typed(lines: Sequence[str]) -> list[Utterance]:
    return [Utterance(f"u{n}", line) for n, line in enumerate(lines, 1)]


def _in_rows(rows: Sequence[str]) -> Any:
    wanted = Counter(rows)

    def right(finding: Finding) -> bool:
        return " ".join(part or "-" for part in row_of(finding)) in wanted

    return right


def _in_passage(passage: Any, statements: Any) -> Any:
    def right(finding: Finding) -> bool:
        row = tuple(part or "-" for part in row_of(finding))
        spans = [
            (passage.starts[p.utterance] + p.start, passage.starts[p.utterance] + p.end)
            for p in finding.said
        ]
        touched = [st for st in statements if overlap(spans, st.at)]
        return any(row in st.accepted for st in touched)

    return right
