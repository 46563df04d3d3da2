"""A finding that somebody chose: whether the grammar has it, and what it is in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from dictate.errors import UsageError
from dictate.grammar.load import Grammar
from dictate.grammar.names import capital
from dictate.interpret.reader import reader_of
from dictate.model import Finding, Side, Utterance
from dictate.resolve.fit import NOT_DONE, fit, is_normal, side_rule
from dictate.resolve.plain_answers import agreeing


def checked_finding(
    grammar: Grammar, test: str, site: str | None, side: str | None, value: str,
    detail: Sequence[str] = (),
) -> Finding:  # fmt: skip
    """A finding as the grammar knows it; without the places where it was said.

    Raises:
        UsageError: There is no such test, site, side or value, or a side is needed.
    """
    if test not in grammar.tests:
        raise UsageError(f"There is no test {test!r}.")
    name, sites = grammar.tests[test].name, grammar.sites_of(test)
    if site is None and sites:
        raise UsageError(f"{capital(name)}: say where.")
    if site is not None and site not in sites:
        raise UsageError(f"{capital(name)} has no site {site!r}.")
    if not _takes(grammar, test, value):
        raise UsageError(f"{capital(name)} has no value {value!r}.")
    if side is not None and side not in get_args(Side):
        raise UsageError(f"A side is right or left, not {side!r}.")
    rule = side_rule(grammar, test, site, value)
    normal = is_normal(grammar, test, value)
    if side is not None and rule == "none":
        raise UsageError(f"{capital(name)} has no side.")
    if side is None and (rule == "needed" or (rule == "abnormal" and normal is not True)):
        raise UsageError(f"{capital(name)}: say which side.")
    kept = tuple(" ".join(part.split()) for part in detail)
    finding = Finding(test, site, side, value, tuple(filter(None, kept)), normal)  # type: ignore[arg-type]
    if agreeing(grammar, finding) != finding:
        raise UsageError(f"{capital(name)}: the parts do not add up to {value}.")
    return finding


def _takes(grammar: Grammar, test: str, value: str) -> bool:
    """A word of the test, or a number or grade that its scale has, read as it would be typed."""
    spec = grammar.tests[test]
    if value in spec.values or value in NOT_DONE:
        return True
    scale = grammar.scales.get(spec.scale or "")
    if scale is None or value in scale.grades:
        return scale is not None
    said = [
        one
        for sentence in reader_of(grammar).read(Utterance("value", value)).sentences
        for statement in sentence.statements
        for one in statement.values
    ]
    meant = fit(grammar, test, said[0]) if len(said) == 1 else None
    return meant is not None and meant.misfit is None and meant.value == value
