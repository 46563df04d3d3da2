"""What items mean beside each other: how far a denial reaches, and of which test a sign is."""

from __future__ import annotations

from itertools import pairwise

from dictate.grammar.load import Grammar
from dictate.interpret.beside import forms
from dictate.interpret.is_there import WORDS, added
from dictate.interpret.own_sign import own_signs
from dictate.interpret.set_right import breaks
from dictate.interpret.tokens import norms
from dictate.parse.items import NAMES, Item

#: What the roles of items are called where it is asked how far a denial reaches.
_KINDS = {"DENY": "deny", "COMMA": "comma", "STOP": "stop", "BUT": "but", "MISC": "glue",
    "DEGREE": "degree", "PREP": "glue", "COLON": "colon"}  # fmt: skip


def beside_each_other(items: list[Item], grammar: Grammar) -> list[Item]:
    """The items, each with what it means beside the ones next to it.

    Args:
        items: Those of an utterance.
        grammar: For the values of tests, and the closed classes.
    """
    items = own_sign(is_there(items, grammar), grammar)
    return own_words(set_right(items))


def set_right(items: list[Item]) -> list[Item]:
    """The items with a full stop before a sign of what is normal, after something denied.

    Args:
        items: Those of an utterance.
    """
    kinds = [_kind(item) for item in items]
    for i in breaks(kinds, [item.readings for item in items]):
        items[i].roles = ("STOP",)
    return items


def own_words(items: list[Item]) -> list[Item]:
    """ "Pupils unequal, right 4 mm": a test's own word with nothing after it compares no sides.

    Args:
        items: Those of an utterance.
    """
    named: set[str] = set()
    for item, after in pairwise([*items, Item(0, 0, ".", ("STOP",))]):
        if item.roles[0] == "STOP":
            named = set()
        named |= {r.test for r in item.of_kind("test")}
        own = {r.test for r in item.of_kind("value") if r.test}
        ends = after.roles[0] in ("COMMA", "STOP")
        if {"VALUE", "COMPARE"} <= set(item.roles) and ends and own & named:
            item.roles = ("VALUE",)
    return items


def _kind(item: Item) -> str:
    if item.roles[0] == "AND":
        return "or" if item.of_kind("either") else "and"
    return _KINDS.get(item.roles[0], "")


def is_there(items: list[Item], grammar: Grammar) -> list[Item]:
    """The items, with "present" and such words before a grade as words that mean nothing.

    Args:
        items: Those of an utterance.
        grammar: For the words.
    """

    def kind(item: Item) -> str:
        if item.grade is not None:
            return "grade"
        if norms(item.text) in forms(grammar, WORDS):
            return "there"
        return "name" if NAMES & set(item.roles) else _KINDS.get(item.roles[0], "")

    for i in added([kind(item) for item in items]):
        items[i] = Item(items[i].start, items[i].end, items[i].text, ("MISC",))
    return items


def own_sign(items: list[Item], grammar: Grammar) -> list[Item]:
    """The items without the colon between the name of a test and a sign that is a value of it.

    Args:
        items: Those of an utterance.
        grammar: For the values of tests.
    """

    def kind(item: Item) -> str:
        return "target" if NAMES & set(item.roles) else _KINDS.get(item.roles[0], "")

    for found in own_signs([kind(x) for x in items], [x.readings for x in items], grammar):
        if found.colon >= 0:
            items[found.colon].roles = ("MISC",)
        elif found.name < found.sign and "VALUE" in items[found.sign].roles:
            items[found.sign].roles = ("VALUE",)
    return items
