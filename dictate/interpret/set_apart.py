"""A side between commas, said of the names before it: "wrist flexion, both hands, five"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

_VALUED = {"value", "grade"}


def set_apart(row: list[Item], grammar: Grammar) -> list[Item]:
    """The row without the comma before such a side, and without the limb that says only the side.

    Args:
        row: The items of one sentence.
        grammar: For the parts of limbs.
    """
    for i in range(1, len(row) - 1):
        if row[i].kind != "comma" or row[i - 1].kind != "target":
            continue
        if i > 1 and row[i - 2].kind == "side":
            continue  # "right hand, left hand, normal"
        end = _side_and_value(row, i, row[i - 1], grammar)
        if end is not None:
            row[i] = replace(row[i], kind="glue")
            _drop(row, i + 2, end - 1)
            name, at = row[i - 1], end + 1
            while at < len(row) and row[at].kind == "comma":  # "..., left hand, four"
                end = _side_and_value(row, at, name, grammar)
                if end is None:
                    break
                _drop(row, at + 2, end)
                at = end + 1
    return row


def _side_and_value(row: list[Item], i: int, name: Item, grammar: Grammar) -> int | None:
    """Where the value is, after a comma, a side, perhaps a limb, and a comma; None if it is not."""
    k = i + 2
    if k >= len(row) or row[i + 1].kind != "side":
        return None
    if row[k].kind == "target":
        if not of_limb(name.readings, row[k].readings, grammar):
            return None
        k += 1
    told = [x.kind for x in row[k : k + 2]]
    return k + 1 if told[:1] == ["comma"] and told[-1] in _VALUED else None


def _drop(row: list[Item], start: int, end: int) -> None:
    for k in range(start, end):
        row[k] = replace(row[k], kind="glue", readings=(), others=frozenset())


def of_limb(part: Sequence[Reading], limb: Sequence[Reading], grammar: Grammar) -> bool:
    """The first is the name of a muscle or a reflex, and nothing else; the other is its limb."""
    if any(r.kind in {"test", "sign"} for r in (*part, *limb)):
        return False
    if any(r.group == "limb" for r in part):
        return False
    whole = {r.id for r in limb if r.kind == "site" and r.group == "limb"}
    whole |= {up for r in limb if r.group == "limb" for up in _limbs(r, grammar)}
    own = [r for r in part if r.kind == "site" and r.group in {"muscle", "reflex"}]
    return bool(whole) and bool(own) and any(whole & {*_limbs(r, grammar)} for r in own)


def _limbs(r: Reading, grammar: Grammar) -> tuple[str, ...]:
    group = grammar.groups.get(r.group)
    entry = group.sites.get(r.id) if group is not None else None
    return tuple(entry.part_of) if entry is not None else ()
