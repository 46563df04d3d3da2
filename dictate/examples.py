"""Runs the examples that the grammar files hold, for `dictate grammar check` and the test suite.

A case asserts everything or is refused: exactly these findings, these questions, this kind.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Example, Words
from dictate.model import Record, Utterance
from dictate.session import Session

Row = tuple[str, str | None, str | None, str]


@dataclass(frozen=True, slots=True)
class Case:
    """One example with its place in the files."""

    file: str
    line: int
    example: Example

    @property
    def name(self) -> str:
        """File and line, as messages and tests call it."""
        return f"{self.file}:{self.line}"


def cases(grammar: Grammar) -> Iterator[Case]:
    """Every example of every area."""
    for area in grammar.areas:
        file = grammar.files.get(area.area, area.area)
        for i, example in enumerate(area.examples):
            name, number = grammar.origins.get((area.area, i), (file, i))
            lines = grammar.lines.get(name)
            yield Case(name, lines.of(("examples", number)) if lines else 1, example)


def fault(grammar: Grammar, example: Example, mirrored: bool = False) -> str | None:
    """What is wrong with an example's record, in one line; None where it is right.

    Args:
        grammar: The grammar to read with.
        example: The case.
        mirrored: Say it with right for left and left for right, and expect the mirror image.
    """
    if example.find is None and example.ask is None and example.kind is None:
        return "the example expects nothing. Give it find, ask or kind"
    turn = _mirror if mirrored else str
    short = [row for row in example.find or () if len(row.split(" ", 3)) != 4]
    if short:
        return f"{short[0]!r} is no row of test, site, side and value"
    session = Session(grammar)
    for i, text in enumerate((*example.before, example.say), 1):
        session.hear(Utterance(f"u{i}", turn(text)))
    return _compare(example, session.record(), mirrored)


def _compare(example: Example, record: Record, mirrored: bool) -> str | None:
    turn = _mirror if mirrored else str
    wanted = Counter(_row(turn(row)) for row in example.find or ())
    found: Counter[Row] = Counter((f.test, f.site, f.side, f.value) for f in record.findings)
    if wanted != found:
        return _difference(wanted, found)
    asked = [question.kind for question in record.questions]
    if asked != list(example.ask or ()):
        return f"asks {asked or 'nothing'}, expected {list(example.ask or ()) or 'nothing'}"
    kind = record.utterances[-1].kind
    if example.kind is not None and kind != example.kind:
        return f"is of kind {kind}, expected {example.kind}"
    return _details(example.detail, record, mirrored)


def _details(wanted: dict[str, Words], record: Record, mirrored: bool) -> str | None:
    turn = _mirror if mirrored else str
    for key, words in wanted.items():
        held = [
            " ".join(finding.detail)
            for finding in record.findings
            if "/".join(p or "-" for p in (finding.test, finding.site, finding.side)) == turn(key)
        ]
        for word in words:
            if not any(turn(word).lower() in detail.lower() for detail in held):
                return f"{key}: the detail lacks {word!r} (it holds {held})"
    return None


def _row(text: str) -> Row:
    parts = text.split(" ", 3)
    if len(parts) != 4:
        raise ValueError(f"{text!r} is no row of test, site, side and value")
    test, site, side, value = parts
    return test, None if site == "-" else site, None if side == "-" else side, value


def _difference(wanted: Counter[Row], found: Counter[Row]) -> str:
    missing, extra = list((wanted - found).elements()), list((found - wanted).elements())

    def said(rows: list[Row]) -> str:
        return "; ".join(" ".join(part or "-" for part in row) for row in rows)

    if not found:
        return f"nothing found, expected {said(missing)}"
    if not extra:
        return f"only a part found, missing {said(missing)}"
    if not missing:
        return f"too much found: {said(extra)}"
    return f"found {said(extra)}, expected {said(missing)}"


_PAIRS = {
    "right": "left", "left": "right", "r": "l", "rue": "lue", "lue": "rue", "rle": "lle",
    "lle": "rle", "od": "os", "os": "od",
    "rightward": "leftward", "leftward": "rightward",
    "right-sided": "left-sided", "left-sided": "right-sided",
}  # fmt: skip


def _mirror(text: str) -> str:
    """Right for left and left for right, keeping capitals."""
    import re

    def turned(match: re.Match[str]) -> str:
        word = match.group()
        other = _PAIRS.get(word.lower())
        if other is None or word == "r":
            return word
        if word.isupper() and len(word) > 1:
            return other.upper()
        return other.capitalize() if word[0].isupper() else other

    return re.sub(r"[A-Za-z]+", turned, text)
