""" "Face: no weakness", "no weakness of the tongue": a word of another test, said of this one.

"Weakness" alone speaks of the strength of limbs; beside the name of a test that has a value of
that word it is that value. Both readers ask this module.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: A name, what denies or only joins, a colon, and the word; or the word, "of", and the name.
_BEFORE = re.compile("N(?=([DI]*C?[DI]*)W)")
_AFTER = re.compile("W(?=(I*PI*)N)")
NAME, WORD, DENY, IDLE, COLON, PLACE, OTHER = "NWDICP."


def beside(letters: str) -> Iterator[tuple[int, int]]:
    """The words that stand right beside a name: where the name is, and where the word.

    Args:
        letters: One for each item of a sentence.
    """
    for found in _BEFORE.finditer(letters):
        yield found.start(), found.end(1)
    for found in _AFTER.finditer(letters):
        yield found.end(1), found.start()


def said_of(name: Sequence[Reading], word: Sequence[Reading], grammar: Grammar) -> bool:
    """Whether a word that is a sign of another test is here a value of the one that is named.

    Args:
        name: What the name right beside it may mean.
        word: What the word may mean.
        grammar: For the values of the test.
    """
    tests = {r.test for r in name if r.kind in {"test", "after_site"} and not r.id}
    signs = {r.test for r in word if r.kind == "sign"}
    if len(tests) != 1 or not signs or tests & signs:
        return False
    places = {r.id for r in name if r.kind == "site" and r.test in ("", *signs)}
    if any(places & grammar.sites_of(test).keys() for test in signs):
        return False
    test = next(iter(tests))
    said = {r.id for r in word if r.kind == "value" and r.test in ("", test)}
    return any(
        value_name in said or said.intersection(value.sets or ())
        for value_name, value in grammar.tests[test].values.items()
    )


def of_the_name(row: list[Item], grammar: Grammar) -> list[Item]:
    """The first reader's row, in which such a word is a value and no name.

    Args:
        row: The items of one sentence.
        grammar: For the values of the tests.
    """
    letters = "".join(_letter(item) for item in row)
    for name, word in beside(letters):
        if said_of(row[name].readings, row[word].readings, grammar):
            kept = tuple(r for r in row[word].readings if r.kind != "sign")
            row[word] = replace(row[word], kind="value", readings=kept)
    return row


_LETTERS = {
    "deny": DENY, "denied": DENY, "glue": IDLE, "degree": IDLE, "colon": COLON, "place": PLACE,
}  # fmt: skip


def _letter(item: Item) -> str:
    if item.kind == "target":
        return WORD if item.of_kind("sign") and not item.of_kind("test", "site") else NAME
    return _LETTERS.get(item.kind, OTHER)
