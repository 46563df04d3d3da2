"""Whether an answer in words of one's own says more than goes into what comes of it.

"Triceps four" is no answer to what the deltoid was, and "left" none to what the right one was:
taken for one, it would be a finding that nobody stated.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.model import OTHER_SIDE, Finding, QuestionKind
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit

#: Items that make an answer unsure, take something of it back, or are not understood.
_UNCLEAR = {"doubt", "unknown", "replace", "take_back", "swap"}


def clear(answer: Reading, kind: QuestionKind) -> bool:
    """Tell whether an answer is meant as it stands: no doubt, no "or", nothing unknown or denied.

    A value may be denied ("not increased"), a grade, a side, a site or a test not.

    Args:
        answer: As it was read.
        kind: What was asked.
    """
    if any(sentence.talk for sentence in answer.sentences):
        return False
    items = [item for sentence in answer.sentences for item in sentence.row]
    pieces = [piece for sentence in answer.sentences for piece in sentence.statements]
    if any(item.kind in _UNCLEAR for item in items) or any(p.alternative for p in pieces):
        return False
    if not any(item.kind == "deny" for item in items):
        return True
    values = [value for piece in pieces for value in piece.values]
    words = all(value.negated and value.grade is None for value in values)
    return kind == "value" and bool(values) and words


def says_otherwise(
    grammar: Grammar, asked: Statement, answer: Sequence[Statement], row: Sequence[Item],
    draft: Draft,
) -> bool:  # fmt: skip
    """Tell whether something of an answer, or of what it was an answer to, was left out.

    Args:
        grammar: Which values fit which tests.
        asked: The statement that the question was about.
        answer: What the answer says.
        row: The same, word by word.
        draft: What would come of it.
    """
    sides = {finding.side for finding in draft.findings}
    said = {item.of_kind("side")[0].id for item in row if item.kind == "side"} & set(OTHER_SIDE)
    known = _sides(asked)
    if known and said - known:
        return True
    if draft.findings and (not said <= sides or (known and sides - {None} - known)):
        return True
    tests = {finding.test for finding in draft.findings} or set(draft.tests)
    sites = {finding.site for finding in draft.findings} or {draft.site}
    targets = [target for piece in answer for target in piece.targets]
    if not all(_in(target, tests, sites) for target in targets):
        return True
    return not all(_value_in(grammar, said, draft) for piece in answer for said in piece.values)


def names_other(answer: Sequence[Statement], findings: Sequence[Finding]) -> bool:
    """Tell whether an answer names a side, a test or a site that none of these findings has."""
    sides = {finding.side for finding in findings}
    tests = {finding.test for finding in findings}
    sites = {finding.site for finding in findings}
    return any(
        _sides(piece) - sides or not all(_in(target, tests, sites) for target in piece.targets)
        for piece in answer
    )


def _sides(statement: Statement) -> set[str]:
    named = {statement.side, *(target.side for target in statement.targets)}
    return {side for side in named if side in OTHER_SIDE}


def _in(target: Target, tests: Iterable[str], sites: Iterable[str | None]) -> bool:
    """A test or a site that was named is one of these."""
    named = {reading.test for reading in (*target.tests, *target.signs) if reading.test}
    placed = {reading.id for reading in target.sites}
    return (not named or bool(named & set(tests))) and (not placed or bool(placed & set(sites)))


def _value_in(grammar: Grammar, said: Said, draft: Draft) -> bool:
    """A value that was said is that of a finding; before there is one, it may yet become it."""
    if not draft.findings:
        return True
    return any(
        (meant := fit(grammar, finding.test, said)) is not None
        and (meant.value in (finding.value, None))
        for finding in draft.findings
    )
