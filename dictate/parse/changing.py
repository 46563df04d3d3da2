"""The second reader's items of "change the left grip to four", as words of a correction."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.changing import (
    COLON,
    COMMA,
    IDLE,
    NAME,
    OTHER,
    SIDE,
    STOP,
    VALUE,
    change_told,
)
from dictate.interpret.lexicon import Reading
from dictate.parse.items import NAMES, Item, folded

_KINDS = {
    "TEST": NAME, "SITE": NAME, "SIGN": NAME, "VALUE": VALUE, "SIDE": SIDE, "COMMA": COMMA,
    "COLON": COLON, "STOP": STOP, "BUT": STOP, "MISC": IDLE, "PREP": IDLE, "DEGREE": IDLE,
    "DETAIL": IDLE, "RANGE": IDLE, "EDGE": IDLE, "CUE": IDLE,
}  # fmt: skip


def told_to_change(grammar: Grammar, items: list[Item]) -> list[Item]:
    """A sentence that tells to change what is named: its words, without commas that part nothing.

    Args:
        grammar: For the words that tell so.
        items: Those of one sentence.
    """
    said = [(" ".join(folded(it.text)), _KINDS.get(it.roles[0], OTHER)) for it in items]
    found = change_told(said, grammar)
    if found is None:
        return _said_instead(_the_one(_no_but(items)))
    row = list(items)
    told = (Reading("mends" if found.puts else "replace", "changing"),)
    role = ("CUE",) if found.puts else ("REPLACE",)
    row[found.at] = replace(items[found.at], roles=role, readings=told, grade=None)
    for i in range(found.at + 1, found.named):
        row[i] = replace(items[i], roles=("MISC",), readings=())
    return [item for i, item in enumerate(row) if i not in found.commas]


def _said_instead(items: list[Item]) -> list[Item]:
    """ "The left grip should be four": between a name and its value, it is of that name."""
    idle = {"MISC", "PREP", "COMMA", "CUE"}
    row = list(items)
    for i, item in enumerate(items):
        if item.roles[0] != "REPLACE":
            continue
        before = next((k for k in range(i - 1, -1, -1) if row[k].roles[0] not in idle), None)
        after = next((x for x in row[i + 1 :] if x.roles[0] not in {"MISC", "CUE"}), None)
        named = before is not None and {"TEST", "SITE"} & {row[before].roles[0]}
        if before is None or not named or after is None or after.roles[0] != "VALUE":
            continue
        row[i] = replace(item, roles=("CUE",))
        for k in range(before, i):
            if row[k].roles[0] == "COMMA":
                row[k] = replace(row[k], roles=("MISC",), readings=())
    return row


def _no_but(items: list[Item]) -> list[Item]:
    """ "On the right, no, the other side": a "no" between commas, before a side, denies nothing."""
    row = list(items)
    for i in range(1, len(items) - 2):
        marks = items[i - 1].roles[0] == items[i + 1].roles[0] == "COMMA"
        after = next((x for x in items[i + 2 :] if x.roles[0] not in {"MISC", "PREP"}), None)
        sided = after is not None and after.roles[0] == "SIDE"
        if {"DENY", "REPLACE"} <= set(items[i].roles) and marks and sided:
            row[i] = replace(items[i], roles=("REPLACE",))
    return row


def _the_one(items: list[Item]) -> list[Item]:
    """ "No wait, it's the right one": after words of a correction it is no number."""
    row = list(items)
    fixes = False
    for i, item in enumerate(items):
        fixes = (fixes or "REPLACE" in item.roles) and not NAMES & set(item.roles)
        ends = i + 1 == len(items) or items[i + 1].roles[0] in {"COMMA", "STOP", "REPLACE"}
        led = i > 1 and "SIDE" in items[i - 1].roles
        led = led and any(r.kind == "definite" for r in items[i - 2].readings)
        if fixes and ends and led and "ONE" in item.roles:
            row[i] = replace(item, roles=("ONE",))
    return row
