"""The first reader's row, with what a sensation was tried with brought before its places."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading
from dictate.interpret.modalities import (
    AND,
    BREAK,
    COMMA,
    DENY,
    EDGE,
    IDLE,
    LEADS,
    SITE,
    TEST,
    VALUE,
    each_takes,
    letter_of_name,
    moved,
    only_say_how,
    plan,
)

_LETTERS = {
    "comma": COMMA, "and": AND, "value": VALUE, "deny": DENY, "denied": DENY, "side": IDLE,
    "glue": IDLE, "degree": IDLE, "quality": IDLE, "place": LEADS, "edge": EDGE,
}  # fmt: skip


def tried(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Both hands reduced to light touch and pin": the tests first.

    Args:
        row: The items of one sentence.
        grammar: For the tests and what they take.
    """
    letters = "".join(_letter(item, grammar) for item in row)
    found = plan(letters) if TEST in letters and SITE in letters else None
    if found is None:
        return row
    tests = [r.test for k in found.tests for r in row[k].of_kind("test")]
    if only_say_how(tests, [row[k].readings for k in found.sites], grammar):
        for k in (*found.tests, *found.leads):
            kind = "quality" if letters[k] == TEST else "glue"
            row[k] = replace(row[k], kind=kind, readings=(), others=frozenset())
        return row
    places = [row[k].of_kind("site") for k in found.sites]
    if found.bare or not each_takes(tests, places, grammar):
        return row
    for k in found.leads:
        row[k] = replace(row[k], kind="glue", readings=(), others=frozenset())
    if found.loss:
        sign = row[found.value].of_kind("sign")[0]
        said = tuple(Reading("value", sign.id, test) for test in tests)
        row[found.value] = replace(row[found.value], kind="value", readings=said)
    first, after = moved(found)
    at = row[after[0]].start
    place = [] if letters[after[0]] == LEADS else [Item("place", at, at)]
    rest = tried(row[found.tests[-1] + 1 :], grammar)
    return [*(row[k] for k in first), *place, *(row[k] for k in after), *rest]


def _letter(item: Item, grammar: Grammar) -> str:
    if item.kind != "target":
        return _LETTERS.get(item.kind, BREAK)
    return letter_of_name(item, grammar)
