"""A clause of its own that names nothing of an examination is left as it was spoken."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from dictate.grammar.load import Grammar
from dictate.interpret.comments import LEAST, TALK, TURNS, first_words
from dictate.parse.items import Item
from dictate.parse.talk import is_trade

#: Roles that the words of a comment have.
_IDLE = frozenset({"UNKNOWN", "MISC", "TALK", "OWN", "PREP", "DEGREE", "FILLER", "AND"})
_FOUND = frozenset({"VALUE", "DENY", "DENIED"})


def without_comments(grammar: Grammar, items: list[Item]) -> list[Item]:
    """The items of a sentence, with the words of its comments as words that mean nothing."""
    if not items or items[-1].text == "?":
        return items
    cuts = [i for i in range(1, len(items)) if _opens_at(grammar, items, i)]
    before = 0  # where the last clause begins that is none
    for a, b in pairwise([*cuts, len(items)]):
        last = b - 1 if items[b - 1].roles[0] == "STOP" else b
        said = _states(grammar, items[:a]) and _is_whole(items[before:a])
        if said and _is_comment(grammar, items[a:last]):
            for item in items[a + 1 : last]:
                if item.roles[0] not in ("COMMA", "AND"):
                    item.roles, item.readings, item.grade = ("MISC",), (), None
        else:
            before = a
    return items


def _kinds(item: Item) -> set[str]:
    return {r.kind for r in item.readings}


def _opens_at(grammar: Grammar, items: Sequence[Item], i: int) -> bool:
    """A clause begins: after a comma, or with a joining word and a subject after it."""
    role = items[i].roles[0]
    if role == "COMMA":
        return items[i].end > items[i].start
    joins = role in ("AND", "BUT") or items[i].text in first_words(grammar, "opens_comment")
    after = items[i + 1].text.split(" ")[0] if i + 1 < len(items) else ""
    return (
        joins and items[i - 1].roles[0] != "COMMA" and after in first_words(grammar, "subject_word")
    )


def _states(grammar: Grammar, items: Sequence[Item]) -> bool:
    """A name in a word of the trade with its value, and nobody is spoken to."""
    if any(_kinds(item) & (TALK | TURNS) for item in items):
        return False
    named = any(
        {"TEST", "SIGN", "SITE"} & set(item.roles) and is_trade(grammar, item) for item in items
    )
    return named and _is_whole(items)


def _is_whole(items: Sequence[Item]) -> bool:
    """Something was found there: "normal on the right" is whole, "and the left" is not."""
    signs = any(
        r.kind == "sign" or (r.kind == "test" and r.id) for it in items for r in it.readings
    )
    return signs or any(_FOUND & set(item.roles) for item in items)


def _is_comment(grammar: Grammar, clause: Sequence[Item]) -> bool:
    said = [item for item in clause[1:] if item.end > item.start]
    opens = first_words(grammar, "opens_comment")
    while said and (said[0].roles[0] in ("AND", "BUT") or said[0].text in opens):
        said = said[1:]
    if sum(item.end - item.start for item in said) < LEAST or said[0].roles[0] == "PREP":
        return False
    if any(item.roles[0] not in _IDLE or _kinds(item) & TURNS for item in said):
        return False
    return any(item.roles[0] in ("UNKNOWN", "TALK", "OWN") or _kinds(item) & TALK for item in said)
