"""A plus that is no grade: between two names of one kind, and of a sign without grades."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

_SAID = {"value", "grade", "not_tested", "unable"}
_OPENS = {"stop", "comma", "and", "colon", "but"}
_ENDS = {"comma", "stop", "colon", "but", "except"}


def plus_joins(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
    """ "Tone normal UL + LL", "biceps + triceps 2+": no grade of the first name.

    In "biceps + triceps ++" the signs are the grades, and stay them.

    Args:
        row: The items of one sentence.
        grammar: For the names whose presence is written as a plus.
        words: The folded words of the utterance, by token.
    """
    signs = [i for i, x in enumerate(row) if x.kind == "grade" and words[x.start : x.end] == ["+"]]
    for i in signs:
        after = i + 1 + (i + 1 < len(row) and row[i + 1].kind == "side")
        if not (i and after < len(row) and row[i - 1].kind == row[after].kind == "target"):
            continue
        if one_kind(row[i - 1].readings, row[after].readings, grammar):
            part = _part(row, i)
            own = any(x.kind in _SAID or x.of_kind("sign") for x in part if not _plusses(x))
            if own and not any(_plusses(x) > 1 for x in part):
                row[i] = replace(row[i], kind="and", grade=None, text="and")
    return row


def graded_signs(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "A three plus APD on the left": how much there is of a sign that has no grades.

    Args:
        row: The items of one sentence.
        grammar: For the tests that have grades.
    """
    for i in range(len(row) - 1):
        grade = row[i].grade
        if grade is None or row[i].kind != "grade" or row[i + 1].kind != "target":
            continue
        plain = grade.sign == "+" and not (grade.of or grade.until)
        before = next((x.kind for x in reversed(row[:i]) if x.kind != "glue"), "stop")
        if plain and before in _OPENS and ungraded_sign(row[i + 1].readings, grammar):
            row[i] = replace(row[i], kind="quality", others=frozenset())
    return row


def ungraded_sign(readings: Sequence[Reading], grammar: Grammar) -> bool:
    """A name that says that something is there, of tests without grades alone."""
    named = [r for r in readings if r.kind in {"test", "sign"}]
    return bool(named) and all(r.id and grammar.tests[r.test].scale is None for r in named)


def _plusses(item: Item) -> int:
    """How many signs a grade is written as ("++")."""
    return item.end - item.start if item.grade is not None and item.grade.plusses else 0


def one_kind(first: Sequence[Reading], second: Sequence[Reading], grammar: Grammar) -> bool:
    """Two sites of one group, or two tests or parts of a test that are not simply there or not."""
    if any(r.kind == "sign" for r in (*first, *second)):
        return False
    places = [{r.group for r in row if r.kind == "site" and r.group} for row in (first, second)]
    tests = {r.test for r in (*first, *second) if r.test}
    there = any("present" in grammar.tests[test].values for test in tests)
    return bool(places[0] & places[1]) or (bool(tests) and not there and not any(places))


def _part(row: list[Item], i: int) -> list[Item]:
    """What stands between the marks before and after an item, without its like."""
    a = b = i
    while a and row[a - 1].kind not in _ENDS:
        a -= 1
    while b + 1 < len(row) and row[b + 1].kind not in _ENDS:
        b += 1
    return [x for k, x in enumerate(row[a : b + 1], a) if k != i]
