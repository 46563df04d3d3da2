"""The findings as sections in the classical order, abnormal sentences before normal ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dictate.grammar import Grammar, schema
from dictate.grammar.names import capital, is_grade, listed
from dictate.model import Finding, Record
from dictate.render.clauses import Sentence, write_test
from dictate.render.grouping import rank
from dictate.render.open_places import OpenPlace, open_places
from dictate.render.unchecked import all_unchecked, marked, write_marked


@dataclass(frozen=True, slots=True)
class Section:
    """One exam area: its heading, and paragraphs of sentences."""

    heading: str
    paragraphs: tuple[tuple[Sentence, ...], ...]


def write_sections(record: Record, grammar: Grammar) -> tuple[Section, ...]:
    """Write the record's findings.

    Args:
        record: Any record; its order of speaking does not matter.
        grammar: Gives areas, tests and words.

    Returns:
        A section for every area that has a finding. In each, the paragraphs are: tests with
        something abnormal or undecided, the other tests, tests that were not done. What only one
        listener heard is marked: the section once, where it is all of it, else each sentence.
    """
    places = open_places(record, grammar)
    sections = []
    for area in grammar.areas:
        here = [finding for finding in record.findings if finding.test in area.tests]
        if here:
            heading = capital(area.heading.note) + _scales(grammar, here)
            heading = marked(heading, all_unchecked(here))
            sections.append(Section(heading, _paragraphs(grammar, here, places)))
    return tuple(sections)


def _paragraphs(
    grammar: Grammar, findings: Sequence[Finding], places: Sequence[OpenPlace]
) -> tuple[tuple[Sentence, ...], ...]:
    write = write_test if all_unchecked(findings) else write_marked
    rows: dict[int, list[tuple[schema.Test, tuple[Sentence, ...]]]] = {0: [], 1: [], 2: []}
    for test, spec in grammar.tests.items():
        here = [finding for finding in findings if finding.test == test]
        if here:
            rows[_row(grammar, here)].append((spec, write(grammar, here, places)))
    return tuple(_merge(row) for row in rows.values() if row)


def _row(grammar: Grammar, findings: Sequence[Finding]) -> int:
    """0: something is abnormal, or a word of no verdict ("equivocal"); 2: nothing was done."""
    telling = [
        finding
        for finding in findings
        if rank(finding) == 0
        or (rank(finding) == 1 and not is_grade(grammar, finding.test, finding.value))
    ]
    if telling:
        return 0
    return 2 if all(rank(finding) == 3 for finding in findings) else 1


def _merge(row: Sequence[tuple[schema.Test, tuple[Sentence, ...]]]) -> tuple[Sentence, ...]:
    """Join tests of which the very same is said ("Bulk and tone normal", "No A or B")."""
    merged: dict[object, tuple[str, list[str], str, tuple[Finding, ...]]] = {}
    for spec, sentences in row:
        for sentence in sentences:
            start, rest = _cut(spec.name, sentence.text)
            if len(sentences) > 1 or (not rest and not start):
                merged[len(merged)] = (sentence.text, [], "", sentence.findings)
                continue
            key = (start, rest)
            _, names, _, findings = merged.get(key, (start, [], rest, ()))
            merged[key] = (start, [*names, spec.name], rest, (*findings, *sentence.findings))
    return tuple(
        Sentence(capital(f"{start}{listed(names, 'or' if start else 'and')}{rest}"), findings)
        for start, names, rest, findings in merged.values()
    )


def _cut(name: str, text: str) -> tuple[str, str]:
    """What stands before and after the test's name; two empty texts where it is not so simple."""
    for start in ("No ", ""):
        if text.casefold().startswith(f"{start}{name}".casefold()):
            rest = text[len(start) + len(name) :]
            return (start, rest) if not rest or rest.startswith(" ") else ("", "")
    return "", ""


def _scales(grammar: Grammar, findings: Sequence[Finding]) -> str:
    """The scales whose grades are written below, named once in the heading."""
    used: dict[str, None] = {}
    for finding in findings:
        name = grammar.tests[finding.test].scale
        if name is None or not is_grade(grammar, finding.test, finding.value):
            continue
        scale = grammar.scales[name]
        names_itself = any(letter.isalpha() for letter in scale.note.replace("{grade}", ""))
        if scale.kind == "grades" and not names_itself:
            name = scale.name if scale.short is None else scale.short
            used[f"{name} {scale.grades[0]} to {scale.grades[-1]}".strip()] = None
    return "".join(f", {scale}" for scale in used)
