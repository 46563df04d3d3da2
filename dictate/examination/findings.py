"""A finding that somebody chose: whether the grammar has it, and what it is in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from dictate.errors import UsageError
from dictate.grammar.load import Grammar
from dictate.model import Finding, Side
from dictate.resolve.fit import is_normal, side_rule, takes


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
        raise UsageError(f"{name.capitalize()}: say where.")
    if site is not None and site not in sites:
        raise UsageError(f"{name.capitalize()} has no site {site!r}.")
    if not takes(grammar, test, value):
        raise UsageError(f"{name.capitalize()} has no value {value!r}.")
    if side is not None and side not in get_args(Side):
        raise UsageError(f"A side is right or left, not {side!r}.")
    rule = side_rule(grammar, test, site, value)
    normal = is_normal(grammar, test, value)
    if side is not None and rule == "none":
        raise UsageError(f"{name.capitalize()} has no side.")
    if side is None and (rule == "needed" or (rule == "abnormal" and normal is not True)):
        raise UsageError(f"{name.capitalize()}: say which side.")
    kept = tuple(" ".join(part.split()) for part in detail)
    return Finding(test, site, side, value, tuple(filter(None, kept)), normal)  # type: ignore[arg-type]
