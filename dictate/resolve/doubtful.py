"""What an open question says of how far it may be answered without the examiner."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.interpret.statement import Statement
from dictate.model import Finding
from dictate.resolve.context import Pending
from dictate.resolve.fit import NOT_DONE


def tests_of(questions: Iterable[Pending]) -> set[str]:
    """The tests of which questions offer something."""
    return {f.test for p in questions for choice in p.question.choices for f in choice.findings}


def side_asked(findings: Sequence[Finding], news: Sequence[Pending]) -> bool:
    """A side is asked for, that one of these findings would bring."""
    places = {(f.test, f.site) for f in findings if f.side is not None}
    return any(
        (f.test, f.site) in places
        for pending in news
        if pending.question.kind == "side"
        for choice in pending.question.choices
        for f in choice.findings
    )


def in_doubt(pending: Pending, findings: Sequence[Finding]) -> bool:
    """The examiner was not sure of it, took it back, excepted it, or said several grades.

    Of a pair whose side is asked for ("five and five") the second may be said of the other side,
    or again.
    """
    st = pending.statement
    if st is None or pending.withdrawn:
        return bool(pending.withdrawn)
    paired = pending.question.kind == "side" and _pair(st)
    excepted = st.link == "except" and not st.values
    return paired or excepted or bool(st.doubts) or _grades(st) > len({f.value for f in findings})


def about_it(pending: Pending, findings: Sequence[Finding]) -> list[Finding]:
    """Those of the tests that a question is about."""
    tests = {f.test for choice in pending.question.choices for f in choice.findings}
    return [finding for finding in findings if finding.test in tests]


def refused(pending: Pending) -> bool:
    """A value was said, and yet it is asked for: it was doubted, or nearly so, or two."""
    st = pending.statement
    return st is not None and bool(st.doubts or st.values)


def turned_round(pending: Pending, findings: Sequence[Finding]) -> bool:
    """Words of it may turn it round, or say more than one answer holds."""
    st, kind = pending.statement, pending.question.kind
    if kind == "value" and any(f.value in NOT_DONE for f in findings):
        return True  # it could not be done, or was done badly
    if st is None:
        return pending.turned
    if len(st.values) > len({finding.value for finding in findings}):
        return True
    return pending.turned or _denies(st, findings)


def _denies(st: Statement, findings: Sequence[Finding]) -> bool:
    """A value is denied ("I wouldn't call it normal"), or what is found is denied."""
    if any(value.negated for value in st.values) or (st.denied and st.values):
        return True
    return st.denied and any(finding.normal is False for finding in findings)


def _pair(st: Statement) -> bool:
    """More than one grade was said, perhaps the same."""
    return sum(value.grade is not None for value in st.values) > 1


def _grades(st: Statement) -> int:
    """How many different grades a statement says ("one plus to two plus", "2/2+")."""
    found: set[str] = set()
    for grade in (value.grade for value in st.values if value.grade):
        found |= {f"{grade.number}{grade.sign}", *filter(None, [grade.until])}
        if grade.of and grade.of_sign:  # no total has a sign
            found.add(f"{grade.of}{grade.of_sign}")
    return len(found)
