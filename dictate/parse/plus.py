"""A typed plus sign between two names of one kind is "and" where the list has its value already."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.plus import one_kind
from dictate.parse.items import Item

_ENDS = {"COMMA", "STOP", "COLON", "BUT", "EXCEPT"}
_SAID = {"VALUE", "NOTDONE", "SIGN"}
_NAMES = {"SITE", "TEST"}


def plus_joins(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Tone normal UL + LL", "biceps + triceps 2+": no grade of the first name.

    In "biceps + triceps ++" the signs are the grades, and stay them.

    Args:
        items: Those of an utterance.
        grammar: For the names whose presence is written as a plus.
    """
    for i in range(1, len(items) - 1):
        sided = items[i + 1].roles[0] == "SIDE" and i + 2 < len(items)
        before, sign, after = items[i - 1], items[i], items[i + 1 + sided]
        if _plusses(sign) != 1:
            continue
        if not (_NAMES & set(before.roles) and _NAMES & set(after.roles)):
            continue
        if not one_kind(before.readings, after.readings, grammar):
            continue
        part = _part(items, i)
        own = any(_SAID & set(x.roles) for x in part if not _plusses(x))
        if own and not any(_plusses(x) > 1 for x in part):
            items[i] = Item(sign.start, sign.end, "and", ("AND",))
    return items


def _plusses(item: Item) -> int:
    """How many signs a grade is written as ("++")."""
    return item.end - item.start if item.grade is not None and item.grade.plusses else 0


def _part(items: list[Item], i: int) -> list[Item]:
    """What stands between the marks before and after an item, without it."""
    a = b = i
    while a and items[a - 1].roles[0] not in _ENDS:
        a -= 1
    while b + 1 < len(items) and items[b + 1].roles[0] not in _ENDS:
        b += 1
    return [x for k, x in enumerate(items[a : b + 1], a) if k != i]
