"""A short narration for both readers, and what stands in its record."""

from __future__ import annotations

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()


def narrated(*lines: str) -> Session:
    """A narration, an utterance a line."""
    session = Session(GRAMMAR)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session


def record_of(*lines: str) -> Record:
    """The record of a narration."""
    return narrated(*lines).record()


def findings(record: Record) -> set[tuple[str, str | None, str | None, str]]:
    """Test, site, side and value of each finding."""
    return {(f.test, f.site, f.side, f.value) for f in record.findings}


def rows(record: Record) -> set[str]:
    """The same, each in a line; "-" where there is none."""
    return {" ".join(part or "-" for part in row) for row in findings(record)}
