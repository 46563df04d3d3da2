"""The second reader's items, with denials where they are meant: in lists, and with an exception."""

from __future__ import annotations

from collections.abc import Collection

from dictate.grammar.load import Grammar
from dictate.interpret import neither_is, only_there, or_denied
from dictate.parse.denied_there import nor_joined
from dictate.parse.items import Item

_OR = {
    "DENY": or_denied.DENY, "COMMA": or_denied.COMMA,
    "MISC": or_denied.IDLE, "DEGREE": or_denied.IDLE, "DETAIL": or_denied.IDLE,
}  # fmt: skip
_NEITHER = dict.fromkeys(("MISC", "DEGREE", "PREP"), neither_is.IDLE)
_ONLY = {
    "DENY": only_there.DENY, "DENIED": only_there.DENY, "PREP": only_there.LEADS,
    "SIDE": only_there.PLACE, "MISC": only_there.IDLE, "DEGREE": only_there.IDLE,
    "STOP": only_there.STOP, "COLON": only_there.STOP,
}  # fmt: skip
_NAMES = frozenset({"TEST", "SIGN", "SITE", "SIDE"})


def denied_lists(items: list[Item], grammar: Grammar) -> list[Item]:
    """What the plans of ``dictate.interpret`` say; the same list where they say nothing.

    Args:
        items: Those of one sentence.
        grammar: Its words of denial, and those that except after one.
    """
    items = _neither_is(items)
    items = _only_there(items, grammar.classes.get("only", ()))
    return _or_denied(nor_joined(items), grammar.speech.negation.before)


def _or_denied(items: list[Item], deny: Collection[str]) -> list[Item]:
    places = set(or_denied.denied_too("".join(_letter_of_or(item, deny) for item in items)))
    if not places:
        return items
    row: list[Item] = []
    for i, item in enumerate(items):
        if i in places:
            row.append(_denial(item))
        row.append(item)
    return row


def _neither_is(items: list[Item]) -> list[Item]:
    found = neither_is.plan("".join(map(_letter_of_neither, items)))
    if found is None:
        return items
    row = list(items)
    for at, role in ((found.neither, "MISC"), (found.nor, "AND")):
        row[at] = Item(row[at].start, row[at].end, row[at].text, (role,))
    return [*row[: found.value], _denial(row[found.value]), *row[found.value :]]


def _only_there(items: list[Item], only: Collection[str]) -> list[Item]:
    at = only_there.only_at("".join(_letter_of_only(item, only) for item in items))
    if at is None:
        return items
    row = list(items)
    row[at] = Item(row[at].start, row[at].end, row[at].text, ("EXCEPT",))
    return row


def _denial(before: Item) -> Item:
    return Item(before.start, before.start, "", ("DENY",))


def _letter_of_or(item: Item, deny: Collection[str]) -> str:
    if "VALUE" in item.roles:
        return or_denied.DENIAL if item.text.split(" ")[0] in deny else or_denied.VALUE
    if item.roles[0] == "AND":
        return or_denied.OR if item.of_kind("either") else or_denied.OTHER
    if {"TEST", "SIGN"} & set(item.roles) and any(r.id for r in item.of_kind("test", "sign")):
        return or_denied.SIGN
    return _OR.get(item.roles[0], or_denied.OTHER)


def _letter_of_neither(item: Item) -> str:
    if item.of_kind("neither"):
        return neither_is.NEITHER
    if item.of_kind("either"):
        return neither_is.NOR
    if item.roles[0] == "VALUE":
        return neither_is.VALUE
    return neither_is.NAME if _NAMES & set(item.roles) else _NEITHER.get(item.roles[0], "|")


def _letter_of_only(item: Item, only: Collection[str]) -> str:
    if item.text.lower() in only:
        return only_there.ONLY
    if item.roles[0] == "VALUE":
        return only_there.VALUE
    if "SITE" in item.roles:
        return only_there.PLACE
    return _ONLY.get(item.roles[0], only_there.OTHER)
