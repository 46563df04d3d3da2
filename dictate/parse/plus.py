"""A plus that is no grade: between two names of one kind, and of a sign without grades."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.plus import one_kind, ungraded_sign
from dictate.parse.items import Item

_OPENS = {"STOP", "COMMA", "AND", "COLON", "BUT"}
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


def graded_signs(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "A three plus APD on the left": how much there is of a sign that has no grades.

    Args:
        items: Those of an utterance.
        grammar: For the tests that have grades.
    """
    before = "STOP"
    for i, item in enumerate(items[:-1]):
        g, after = item.grade, items[i + 1]
        plain = g is not None and g.sign == "+" and not (g.of or g.until)
        named = {"TEST", "SIGN"} & set(after.roles) and "SITE" not in after.roles
        if plain and before in _OPENS and named and ungraded_sign(after.readings, grammar):
            item.roles = ("DETAIL",)
        before = before if item.roles[0] == "MISC" else item.roles[0]
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
