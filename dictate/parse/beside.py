"""A sentence without the words that only set it beside another: "the left one is better: ..."."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.beside import how_much, set_against
from dictate.parse.items import Item, Lattice


def without_comparing(
    grammar: Grammar, lattice: Lattice, items: list[Item], follows: bool
) -> list[Item]:
    """What a sentence says by itself.

    Args:
        grammar: Its closed classes.
        lattice: The utterance.
        items: A sentence of it.
        follows: Another sentence comes after it.

    Returns:
        The items; with a heading in place of "the left one is better"; or without an afterthought
        such as "but less so", which leaves open what "the same" was.
    """
    if not items:
        return items
    first = items[0].start
    words = [token.norm for token in lattice.tokens[first : items[-1].end]]
    tail = how_much(grammar, words)
    if tail:
        return _without_tail(items, first + tail)
    span = set_against(grammar, words)
    if span is None:
        return items
    start, end = first + span[0], first + span[1]
    before = [item for item in items if item.end <= start and "ONE" not in item.roles]
    after = [item for item in items if item.start >= end]
    named = [item for item in before if item.roles[0] not in ("MISC", "COMMA", "PREP")]
    if not named or not all(map(_side_or_limb, named)) or not (after or follows):
        return items
    if after and after[0].roles[0] in ("COMMA", "COLON"):
        after = after[1:]
    return [*before, Item(start, end, ":", ("COLON",)), *after]


def _side_or_limb(item: Item) -> bool:
    limb = "SITE" in item.roles and any(r.group == "limb" for r in item.of_kind("site"))
    return item.roles[0] == "SIDE" or (limb and not {"TEST", "SIGN"} & set(item.roles))


def _without_tail(items: list[Item], cut: int) -> list[Item]:
    row = [item for item in items if item.end <= cut]
    if any(item.roles[0] == "REPEAT" for item in row):
        return [*row, Item(cut, items[-1].end, "", ("DOUBT",))]
    also = any(r.kind == "also" for item in row for r in item.readings)
    words = [item for item in row if item.roles[0] == "VALUE" and item.grade is None]
    ill = bool(words) and not any(r.id == "normal" for item in words for r in item.readings)
    return row if also or ill else items  # "rigid, but less"
