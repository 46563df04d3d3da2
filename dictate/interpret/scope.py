"""How far words reach that turn a statement round: time, person and condition over a clause, and a
search over what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from dictate.interpret.items import Item

#: Words that put their clause into another time, another mouth or another world.
_APART = frozenset({"elsewhere", "reported"})
_BREAKS = frozenset({"comma", "but", "and", "except", "stop", "colon"})
_VALUED = frozenset({"value", "grade", "not_tested", "unable", "deny", "denied"})


def sought(row: list[Item]) -> list[Item]:
    """ "Could not be obtained because of the oedema": nobody could look, so it is not absent.

    Args:
        row: The items of one sentence; what was sought before a reason becomes ``unable``.
    """
    for i, item in enumerate(row):
        if "sought" in item.others and any(x.kind == "reason" for x in row[i + 1 :]):
            item.kind = "unable"
        if "seek" in item.others and any(x.kind in {"deny", "denied"} for x in row[i + 1 :]):
            item.kind = "glue"  # "looked for clonus and found none"
    return row


def denials(row: list[Item]) -> list[Item]:
    """ "Could not be elicited" is a value of the test that has it, and of any other a denial.

    Args:
        row: The items of one sentence.
    """
    named = {r.test for item in row for r in item.of_kind("test", "after_site", "sign")}
    named |= {r.group for item in row if item.kind == "target" for r in item.of_kind("site")}
    for item in row:
        turned = item.others & {"deny", "denied"}
        own = {r.test for r in item.of_kind("value")}
        if item.kind == "value" and turned and "" not in own and not own & named:
            item.kind = "denied" if "denied" in turned else "deny"
    return row


def not_moved(row: list[Item]) -> list[Item]:
    """ "Cannot deviate": of what a part does, that it could not is that it did not.

    Args:
        row: The items of one sentence.
    """
    for item, after in pairwise(row):
        own = after.kind == "value" and all(r.test for r in after.of_kind("value"))
        if item.kind == "unable" and own:
            item.kind, item.others = "deny", item.others | {"unmoved"}
    return row


def parts(row: Sequence[Item]) -> list[tuple[int, int]]:
    """Where a clause of another time or person begins after a statement of today.

    "Right deltoid four, last year it was five": the first part stands by itself. What only adds
    whose word it was ("right ptosis, according to the letter") is of the whole sentence.

    Args:
        row: One sentence's items as the lexicon gave them.
    """
    apart = [i for i, item in enumerate(row) if item.others & _APART]
    if not apart:
        return [(0, len(row))]
    cut = next((i for i in range(apart[0], 0, -1) if row[i].kind in _BREAKS), 0)
    before, after = row[:cut], row[cut:]
    if not cut or not _says(before) or not _says(after):
        return [(0, len(row))]
    return [(0, cut), (cut, len(row))]


def _says(row: Sequence[Item]) -> bool:
    """A name and what was found."""
    named = [item for item in row if item.kind == "target"]
    valued = any(item.kind in _VALUED for item in row)
    signs = any(item.of_kind("sign") or any(r.id for r in item.of_kind("test")) for item in named)
    return valued or signs
