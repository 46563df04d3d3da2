"""A grade beside a word for the same: "increased in the left arm, Ashworth two"."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar.load import Grammar
from dictate.model import Finding


def word_and_grade(grammar: Grammar, one: Finding, other: Finding) -> bool:
    """A word that a grade goes with, and a grade; neither says that nothing is wrong.

    Args:
        grammar: The tests and their scales.
        one: A finding of one utterance.
        other: Another of its test, site and side.
    """
    values = grammar.tests[one.test].values
    words = [f.value for f in (one, other) if f.value in values]
    if len(words) != 1 or not values[words[0]].joins_grades:
        return False
    return one.normal is False and other.normal is False


def of_the_word(
    grammar: Grammar, before: Sequence[Finding], tests: Sequence[str], sided: bool
) -> dict[str, str] | None:
    """Where a grade belongs that names its test and no place.

    Args:
        grammar: The tests and their values.
        before: What the statement before it in the utterance found.
        tests: The tests that it may be of.
        sided: It says a side of its own.

    Returns:
        Test, site and side of the word before it; None where there is none that a grade goes with.
    """
    words = [
        f
        for f in before
        if f.test in tests
        and f.value in grammar.tests[f.test].values
        and grammar.tests[f.test].values[f.value].joins_grades
    ]
    if not words or len({(f.test, f.site) for f in words}) > 1 or len(words) != len(before):
        return None
    given = {"test": words[0].test}
    if words[0].site is not None:
        given["site"] = words[0].site
    sides = {f.side for f in words if f.side}
    if sides and not sided:
        given["side"] = "both" if len(sides) == 2 else sides.pop()
    return given
