"""What a denial is of, where its words stand in an order of their own."""

from __future__ import annotations

from collections.abc import Collection

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item

#: Sets of value words that speak of something wrong.
_WRONG = frozenset({"reduced", "increased", "impaired", "weak", "abnormal"})
#: The set of words for what a patient perceives.
FELT = "felt"
_BETWEEN = frozenset({"glue", "place", "side"})
_ENDS = frozenset({"stop", "comma", "but", "and"})


def seen_or_not(row: list[Item], noted: Collection[str]) -> list[Item]:
    """ "No aphasia was seen": after what is denied, that it was seen adds nothing.

    Args:
        row: The items of one sentence.
        noted: Words that are said so ("seen").
    """
    denied = named = False
    for item in row:
        if item.kind in _ENDS:
            denied = named = False
        elif item.kind == "deny":
            denied = True
        elif item.kind == "target":
            named = denied and bool(item.of_kind("sign", "test"))
        elif item.kind == "value" and named and item.text in noted:
            item.kind, item.readings = "glue", ()
        elif item.kind not in _BETWEEN:
            named = False
    return row


def possible(row: list[Item]) -> list[Item]:
    """ "Tandem is possible": able, after a test that has the word; before any other it is a doubt.

    Args:
        row: The items of one sentence.
    """
    named: set[str] = set()
    for item in row:
        named |= {r.test for r in item.of_kind("test", "after_site") if item.kind == "target"}
        own = {r.test for r in item.of_kind("value") if r.test}
        if item.kind == "value" and "doubt" in item.others and own and not own & named:
            item.kind, item.readings = "doubt", ()
    return row


def felt_less(row: list[Item]) -> list[Item]:
    """ "He feels pin less on the left": how he feels it is said by what follows.

    Args:
        row: The items of one sentence.
    """
    more = named = False
    for item in reversed(row):
        if item.kind in _ENDS:
            more, named = more and not named and item.kind != "stop", False
        elif item.kind == "target":
            named = named or bool(item.of_kind("test", "sign"))
        elif item.kind == "value" and all(r.id == FELT for r in item.of_kind("value")):
            if more:
                item.kind, item.readings = "glue", ()
        elif item.kind in {"value", "grade", "deny", "denied", "compare"}:
            more = True
    return row


def colon_of_sign(row: list[Item]) -> list[Item]:
    """ "Hemianopia on the right: none": what stands after the colon is said of the sign.

    Args:
        row: The items of one sentence.
    """
    sign = False
    for i, item in enumerate(row):
        if item.kind == "target":
            where = sign and not item.of_kind("test", "sign")
            sign = where or (bool(item.of_kind("sign")) and not item.of_kind("test", "site"))
        elif item.kind == "colon" and sign and i + 1 < len(row):
            after = {r.id for r in row[i + 1].of_kind("value") if not r.test}
            ends = i + 2 >= len(row) or row[i + 2].kind in _ENDS
            if row[i + 1].kind == "value" and ends and after & {"present", "absent"}:
                item.kind = "glue"
        elif item.kind not in _BETWEEN:
            sign = False
    return row


def value_denied(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "No tone increased in the arm": what is denied is the value, and not the test.

    Args:
        row: The items of one sentence; the denial is put after the name.
        grammar: For the names that are no signs.
    """
    for i in range(len(row) - 2):
        deny, name, value = row[i : i + 3]
        if (deny.kind, name.kind, value.kind) != ("deny", "target", "value"):
            continue
        ends = i + 3 >= len(row) or row[i + 3].kind != "target"
        plain = "verbal" not in deny.others and _plain_test(name, grammar)
        if ends and plain and _wrong(value, {r.test for r in name.of_kind("test")}):
            row[i], row[i + 1] = name, deny
    return row


def _plain_test(item: Item, grammar: Grammar) -> bool:
    """The name of a test, which by itself says nothing that could be denied."""
    tests = {r.test for r in item.of_kind("test")}
    return bool(tests) and not item.of_kind("sign", "site") and not any(
        grammar.tests[test].named for test in tests
    )  # fmt: skip


def _wrong(item: Item, tests: Collection[str]) -> bool:
    """A value word for something that is wrong, in one of the tests or in any."""
    own = [r for r in item.of_kind("value") if r.test in tests]
    if own:
        return not any(r.id == "normal" for r in own)
    return any(not r.test and r.id in _WRONG for r in item.of_kind("value"))
