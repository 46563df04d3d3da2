"""What a sensation was tried with, said after what was found of it.

"Both hands reduced to light touch and pin" is "light touch and pin, both hands reduced"; a word for
all of sensation ("sensation is down in the arm to pin") is silent beside the test that was named.
The two readers share the plan; each carries it out on its own row.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading

#: What an item is to the plan. TEST: one that a sensation is tried with. GENERAL: the name of all
#: of them, LOSS: such a name that says what was found. NAME: anything else that is examined.
TEST, GENERAL, LOSS, SITE, NAME = "T", "G", "L", "S", "N"
VALUE, DENY, COMMA, AND, BREAK, IDLE = "V", "D", ",", "&", "|", "."
#: Words of place; the second kind ("to", "below") says how far it goes as well.
LEADS, EDGE = ">", "E"

#: "V1 to V3", "C5 to T4": the word between two places says no more than that.
_RANGE = re.compile(rf"{SITE}\{IDLE}*{EDGE}\{IDLE}*(?={SITE})")

#: A place of their own after the tests, in the same clause.
_PLACED = re.compile(rf"[^{COMMA}{BREAK}{VALUE}]*{LEADS}\{IDLE}*{SITE}")


@dataclass(frozen=True, slots=True)
class Plan:
    """Indices of a row: the tests go where ``at`` is, then what was found, then the places.

    ``general``: the names of all sensation, which then mean nothing. ``tests``: the tests with what
    joins them. ``leads``: the words before them. ``loss``: ``value`` is a name that says it too;
    ``denied``: the word right before it that denies it ("no sensory loss in the legs to pin").
    ``bare``: no such word stands before them ("intact LT"), so that they may not belong there.
    """

    at: int
    value: int
    general: tuple[int, ...]
    tests: tuple[int, ...]
    leads: tuple[int, ...]
    sites: tuple[int, ...]
    loss: bool = False
    denied: int | None = None
    bare: bool = False


@lru_cache(maxsize=4)
def tried_with(grammar: Grammar) -> dict[str, frozenset[str]]:
    """For each test that only says how a sensation was tried: the general ones of its area."""
    general = {name: spec for name, spec in grammar.tests.items() if spec.gives_way}
    out: dict[str, frozenset[str]] = {}
    for name, spec in grammar.tests.items():
        area = grammar.area_of(name).area
        of = {g for g, own in general.items() if own.sites == spec.sites != "-"}
        of = {g for g in of if grammar.area_of(g).area == area} - {name}
        if of and spec.named is None:
            out[name] = frozenset(of)
    return out


def plan(row: str) -> Plan | None:
    """Where the tests go; None where the row says no such thing.

    Args:
        row: A letter for each item of a sentence.
    """
    for i in range(len(row) - 1):
        first = _next(row, i + 1)
        if row[i] not in LEADS + EDGE + VALUE or first >= len(row) or row[first] != TEST:
            continue
        bare = row[i] == VALUE
        found = _clause(row, i + bare)
        if found is not None:
            at, value = found
            sites, general = (
                tuple(k for k in range(at, i) if row[k] == what) for what in (SITE, GENERAL)
            )
            tests, leads = _listed(row, i, first)
            leads = leads[1:] if bare else leads
            if _PLACED.match(row, tests[-1] + 1):
                continue  # "in the legs, a decrease in pin in the right toe": there, and not before
            denied = _denied(row, value)
            return Plan(at, value, general, tests, leads, sites, row[value] == LOSS, denied, bare)
    return None


def _next(row: str, i: int) -> int:
    while i < len(row) and row[i] == IDLE:
        i += 1
    return i


def _clause(row: str, end: int) -> tuple[int, int] | None:
    """Where the part before the tests begins, and what was found: one value, at some place."""
    start, cut, value = 0, -1, -1
    for k in range(end - 1, -1, -1):
        if row[k] in VALUE + LOSS:
            if value >= 0:
                if cut < 0:
                    return None
                start = cut + 1
                break
            value = k
        cut = k if row[k] in COMMA + AND else cut
        if row[k] == BREAK:
            start = k + 1
            break
    denied = _denied(row, value) if value >= 0 else None
    said = row if denied is None else f"{row[:denied]}{IDLE}{row[denied + 1 :]}"
    clause = _RANGE.sub(SITE, said[start:end])
    named = SITE in clause and not {TEST, NAME, DENY, EDGE} & {*clause}
    while start < end and row[start] in IDLE + COMMA + AND:
        start += 1
    return (start, value) if named and value >= start else None


def _denied(row: str, value: int) -> int | None:
    """What denies a loss, right before it."""
    before = value - 1
    while before >= 0 and row[before] == IDLE:
        before -= 1
    return before if row[value] == LOSS and before >= 0 and row[before] == DENY else None


def _listed(row: str, lead: int, first: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The tests from the first one on, and the words before them; one with its own value is none.

    In "to light touch, pin and vibration reduced" what stands after the comma may be of the value.
    """
    tests, leads = [first], [lead]
    k = first + 1
    comma_before: list[int] | None = None
    while True:
        join = _next(row, k)
        nxt = _next(row, join + 1)
        if join >= len(row) or row[join] not in (COMMA, AND) or nxt >= len(row):
            break
        if row[nxt] in LEADS + EDGE:
            leads_to, nxt = nxt, _next(row, nxt + 1)
        else:
            leads_to = -1
        if nxt >= len(row) or row[nxt] != TEST:
            break
        after = _next(row, nxt + 1)
        if _claimed(row, after):
            tests = comma_before if comma_before is not None and row[join] == AND else tests
            break
        if row[join] == COMMA and comma_before is None:
            comma_before = list(tests)
        tests += [join, nxt]
        leads += [leads_to] if leads_to >= 0 else []
        k = nxt + 1
    return tuple(tests), tuple(x for x in leads if x < tests[-1])


def moved(found: Plan) -> tuple[list[int], list[int]]:
    """The order of the items up to the last test: as far as the value, and what comes after it."""
    says = [found.value] if found.denied is None else [found.denied, found.value]
    goes = {*found.tests, *found.general, *says}
    first = [*range(found.at), *found.tests, *says]
    return first, [k for k in range(found.at, found.tests[-1]) if k not in goes]


def _claimed(row: str, i: int) -> bool:
    """What stands there says something else of the test before it."""
    there = _next(row, i + 1) if i < len(row) and row[i] in LEADS + EDGE else i
    return there < len(row) and row[there] in VALUE + DENY + SITE


def only_say_how(
    tests: Sequence[str], places: Sequence[Sequence[Reading]], grammar: Grammar
) -> bool:
    """ "V1 to V3 intact to light touch": the places are of a test that these say the way of."""
    own = [{r.test for r in place if r.kind == "site" and r.test} for place in places]
    shared = set.intersection(*own) if own else set()
    return any({*tests} <= {*grammar.tests[test].modalities} for test in shared)


def each_takes(tests: Sequence[str], places: Sequence[Sequence[Reading]], grammar: Grammar) -> bool:
    """Each of the tests takes each of the places."""
    return all(
        any(r.group and grammar.takes_site(test, r.group, r.id) for r in place)
        for place in places
        for test in tests
    )


class _Named(Protocol):
    """A name, as either reader has it."""

    def of_kind(self, *kinds: str) -> Sequence[Reading]: ...


def letter_of_name(item: _Named, grammar: Grammar) -> str:
    """TEST, GENERAL, LOSS, SITE or NAME for what one word names."""
    ways = tried_with(grammar)
    tests = [r.test for r in item.of_kind("test", "sign")]
    if tests and all(test in ways for test in tests):
        return TEST
    if {*tests} & {general for of in ways.values() for general in of}:
        return LOSS if item.of_kind("sign") else GENERAL
    return SITE if any(r.group or not tests for r in item.of_kind("site")) else NAME
