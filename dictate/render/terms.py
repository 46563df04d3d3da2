"""Findings as terms of the ontology that the grammar names (common/ontology.yaml)."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar import Grammar
from dictate.grammar.names import WHOLE, is_grade
from dictate.grammar.schema import Term
from dictate.model import Finding


def term_of(grammar: Grammar, finding: Finding) -> Term | None:
    """The term that a finding is, or None: no id is ever guessed.

    Args:
        grammar: Holds the terms; the first that fits counts.
        finding: Any finding. One that is normal, denied or was not done is no term.
    """
    terms = grammar.ontology.terms if grammar.ontology else ()
    return next((term for term in terms if _fits(grammar, term, finding)), None)


def excluded(
    grammar: Grammar, findings: Sequence[Finding]
) -> list[tuple[Term, tuple[Finding, ...]]]:
    """Terms that the examiner denied in so many words, with the findings that say so.

    A sign that was denied on one side, or at one site of several, is not excluded: an exclusion
    speaks of the whole person. Nor is one of which anything was found.

    Args:
        grammar: Holds the terms.
        findings: All of a record.
    """
    denied: dict[str, tuple[Term, list[Finding]]] = {}
    found = {finding.test for finding in findings if not _denies_any(grammar, finding)}
    for finding in findings:
        term = _denied_term(grammar, finding)
        if term is not None and finding.test not in found:
            denied.setdefault(term.id, (term, []))[1].append(finding)
    return [(term, tuple(said)) for term, said in denied.values() if _whole(term, said)]


def _fits(grammar: Grammar, term: Term, finding: Finding) -> bool:
    if finding.test != term.test or (term.site and finding.site not in term.site):
        return False
    if term.holds and not any(_holds(detail, term.holds) for detail in finding.detail):
        return False
    if is_grade(grammar, finding.test, finding.value):
        weak = term.abnormal_grades and finding.normal is False
        return weak or finding.value in term.grades
    return finding.value in term.value


def _holds(detail: str, words: tuple[str, ...]) -> bool:
    return any(f" {word} " in f" {detail.casefold()} " for word in words)


def _denied_term(grammar: Grammar, finding: Finding) -> Term | None:
    """The first term that the value denies; a detail denies less ("no sustained clonus")."""
    terms = grammar.ontology.terms if grammar.ontology else ()
    fitting = (
        term
        for term in terms
        if term.test == finding.test
        and finding.value in term.denied
        and not term.holds
        and (not term.site or finding.site in term.site)
    )
    return None if finding.detail else next(fitting, None)


def _denies_any(grammar: Grammar, finding: Finding) -> bool:
    terms = grammar.ontology.terms if grammar.ontology else ()
    return any(term.test == finding.test and finding.value in term.denied for term in terms)


def _whole(term: Term, findings: list[Finding]) -> bool:
    """Said of the whole: without a side or of both, and at no part but the one the term names."""
    sides = {finding.side for finding in findings}
    sites = {finding.site for finding in findings}
    anywhere = None in sides or sides == {"right", "left"}
    return anywhere and len(sites) == 1 and sites <= {None, WHOLE, *term.site}
