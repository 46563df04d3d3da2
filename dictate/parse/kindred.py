"""What the items of a list have in common: one test, where each alone could be of several.

"Biceps two plus, triceps two plus, knee two plus": a biceps may be a muscle or a reflex, a knee of
such a grade is a reflex only, and a list is of one kind.
"""

from __future__ import annotations

from dictate.parse.categories import Types
from dictate.parse.items import Item, Lattice

#: Between the name of an item and its grade.
_BETWEEN = {"SIDE", "MISC", "PREP", "COMMA", "DEGREE", "HESITATION"}
#: They begin something else.
_BREAKS = {"TEST", "SIGN", "SECTION", "COLON", "TALK", "UNKNOWN"}


def tests_of_lists(types: Types, lattice: Lattice) -> dict[int, str]:
    """For the first token of each item of such a list: its test."""
    out: dict[int, str] = {}
    row: list[tuple[int, int, str]] = []
    items = lattice.items
    for i, item in enumerate(items):
        if _BREAKS & set(item.roles):
            _settle(types, row, out)
            row = []
        elif "SITE" in item.roles and (value := _grade_of(items, i)) is not None:
            grade = value.grade
            mask = types.sites(item.of_kind("site")) & types.value(value)
            row.append((item.start, mask, grade.sign if grade is not None else ""))
    _settle(types, row, out)
    return out


def _grade_of(items: list[Item], i: int) -> Item | None:
    """The grade that follows the name of an item."""
    k = i + 1
    while k < len(items) and items[k].roles[0] in _BETWEEN:
        k += 1
    follows = k < len(items) and items[k].roles[0] == "VALUE" and items[k].grade is not None
    return items[k] if follows else None


def _settle(types: Types, row: list[tuple[int, int, str]], out: dict[int, str]) -> None:
    """The one test that all of a row can be of; a grade with a plus must be among them."""
    if len(row) < 2 or not any(sign == "+" for _, _, sign in row):
        return
    shared = types.all
    for _, mask, _ in row:
        shared &= mask
    grammar = types.grammar
    names = [
        name
        for name in types.names(shared)
        if (scale := grammar.tests[name].scale) is None or grammar.scales[scale].unnamed
    ]
    if len(names) == 1:
        out.update({start: names[0] for start, _, _ in row})
