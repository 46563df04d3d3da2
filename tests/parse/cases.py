"""Every case at hand as one shape: utterances, the findings and questions that must come of them.

The contract's worked cases and the passages lie beside the checkout; where they are absent they are
left out. A round is a folder with `narrations.yaml` and `gold.yaml`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from dictate.grammar.load import Grammar
from dictate.model import Record

HERE = Path(__file__).resolve().parent
SHARED = HERE.parents[2] / "shared"
Row = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class Case:
    """``may``: findings neither demanded nor wrong. ``asks``: kinds of questions that are due."""

    suite: str
    texts: tuple[str, ...]
    finds: tuple[Row, ...]
    asks: tuple[str, ...]
    may: tuple[Row, ...] = ()
    may_ask: int = 0


@dataclass
class Score:
    """What a reader made of some cases; shares are of 100 findings that were demanded."""

    count: Counter[str] = field(default_factory=Counter)

    def add(self, case: Case, record: Record) -> bool:
        """Count one case; True where it is exactly right."""
        found = Counter((f.test, f.site or "-", f.side or "-", f.value) for f in record.findings)
        wanted, asked = Counter(case.finds), Counter(q.kind for q in record.questions)
        wrong = (found - wanted) - Counter(case.may)
        due = Counter(case.asks)
        needless = max(0, (asked - due).total() - case.may_ask)
        self.count.update(
            cases=1, wanted=wanted.total(), captured=(wanted & found).total(), silent=wrong.total(),
            due=due.total(), asked=(due & asked).total(), needless=needless,
        )  # fmt: skip
        return wanted <= found and not wrong and due == asked

    def line(self) -> str:
        """One row of a table."""
        c = self.count
        of = max(1, c["wanted"])
        due = f"{c['asked']}/{c['due']}"
        captured, silent, needless = (100 * c[k] / of for k in ("captured", "silent", "needless"))
        return (
            f"{c['cases']:5} cases {c['wanted']:5} findings, {captured:5.1f}% captured,"
            f" silent {silent:5.2f}, needless {needless:4.1f}, due {due}"
        )


def _rows(rows: Any) -> tuple[Row, ...]:
    return tuple((a, b or "-", c or "-", str(d)) for a, b, c, d, *_ in rows or ())


def contract() -> Iterator[Case]:
    """The contract's worked cases that need no sound."""
    path = SHARED / "contract" / "examples.yaml"
    for case in yaml.safe_load(path.read_text("utf-8")) if path.exists() else ():
        if "unsure" not in case:
            texts = (*case.get("before", ()), case["say"])
            yield Case("contract", texts, _rows(case["find"]), tuple(case["ask"]))


def examples(grammar: Grammar) -> Iterator[Case]:
    """The grammar's own examples."""
    for area in grammar.areas:
        for e in area.examples:
            if e.find is not None or e.ask is not None:
                finds = _rows([row.split(" ", 3) for row in e.find or ()])
                yield Case("grammar", (*e.before, e.say), finds, tuple(e.ask or ()))


def statements() -> Iterator[Case]:
    """The statements that no grammar example shows."""
    path = HERE.parent / "narrations" / "statements.yaml"
    for case in yaml.safe_load(path.read_text("utf-8")):
        if "never" not in case:
            texts = (*case.get("before", ()), case["say"])
            yield Case(
                "statements",
                texts,
                _rows([r.split(" ", 3) for r in case["find"]]),
                tuple(case["ask"]),
            )


def narrations(folder: Path) -> Iterator[Case]:
    """A round: narrations written without sight of the program, with a gold from the contract."""
    gold = {g["id"]: g for g in yaml.safe_load((folder / "gold.yaml").read_text("utf-8"))}
    for one in yaml.safe_load((folder / "narrations.yaml").read_text("utf-8")):
        g = gold.get(one["id"])
        if g is not None:
            asks = tuple(q["kind"] for q in g.get("ask") or ())
            yield Case(
                folder.name,
                tuple(one["lines"]),
                _rows(g["find"]),
                asks,
                _rows(g.get("may")),
                len(g.get("may_ask") or ()),
            )
