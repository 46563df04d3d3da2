"""What somebody looks for, as findings: "ankle reflex absent" on either side."""

from __future__ import annotations

from datetime import date

from dictate.errors import UsageError
from dictate.grammar.load import Grammar
from dictate.model import Finding, Utterance
from dictate.session import Session


def day(text: str) -> str:
    """A day as it is compared (ISO 8601), or nothing.

    Raises:
        UsageError: It is no day.
    """
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise UsageError(f"{text!r} is no day. Write it as 2026-03-01.") from None


def findings_meant(grammar: Grammar, words: str) -> list[Finding]:
    """The findings that words may mean.

    Args:
        grammar: Whose words count.
        words: A statement; what it leaves open ("ankle reflex absent": which side?) stays open,
            and every answer counts.

    Returns:
        Each finding; none where the words are no statement.
    """
    session = Session(grammar)
    session.take(Utterance("sought", words))
    record = session.record()
    offered = [
        finding
        for question in record.questions
        if question.kind in ("side", "test", "heard")
        for choice in question.choices
        for finding in choice.findings
    ]
    return list(dict.fromkeys([*record.findings, *offered]))
