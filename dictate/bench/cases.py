"""What is spoken to measure how well it hears, and the record that must come of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

import yaml

from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.session import Session

#: A finding as test, site, side and value; "-" for none.
Row = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class Case:
    """One narration: its lines, the findings and the kinds of questions that must come of it."""

    lines: tuple[str, ...]
    find: tuple[Row, ...]
    ask: tuple[str, ...]


def examinations() -> list[tuple[str, ...]]:
    """The lines of whole invented examinations."""
    text = (files("dictate.bench") / "examinations.yaml").read_text("utf-8")
    return [tuple(lines) for lines in yaml.safe_load(text)]


def typed(grammar: Grammar, lines: Sequence[str]) -> Case:
    """A case of what the same words give when they are typed."""
    session = Session(grammar)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    record = session.record()
    asked = tuple(question.kind for question in record.questions)
    return Case(tuple(lines), tuple(map(row, record.findings)), asked)


def row(finding: object) -> Row:
    """A finding as it is compared."""
    test, site, side, value = (getattr(finding, k) for k in ("test", "site", "side", "value"))
    return test, site or "-", side or "-", value
