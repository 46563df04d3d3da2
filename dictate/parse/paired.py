"""The other one of a pair in a sentence of its own: "right fine", "left one, normal"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.interpret.statement import Said
from dictate.model import OTHER_SIDE
from dictate.parse.items import Item
from dictate.resolve.fit import fit

if TYPE_CHECKING:
    from dictate.parse.working import Working


def of_the_other(n: Working, items: list[Item]) -> list[Item] | None:
    """A side and a word for what was found, right after the same of the other side.

    So short a sentence could as well be a reply ("Left. Down.") or filler ("Right, fine."); it is
    a finding where the last one in the utterance was of the other side, and its test takes it.

    Returns:
        The items, with no other sense of that word left; None where it is no such sentence.
    """
    row = [item for item in items if item.roles[0] not in ("MISC", "DEGREE")]
    side = row[0] if row and row[0].roles[0] == "SIDE" and items[0].roles[0] != "PREP" else None
    if side is None or len(row) < 2:
        return None
    thing = "ONE" in row[1].roles and len(row) > 2
    rest = row[2:] if thing else row[1:]
    if thing and rest[0].roles[0] == "COMMA":
        rest = rest[1:]
    word = rest[0] if len(rest) == 1 and "VALUE" in rest[0].roles else None
    if word is None or word.grade is not None or not _fits(n, items, side, word):
        return None
    out = []
    for item in items:
        if item is word:
            twin = Item(word.start, word.end, word.text, ("VALUE",), word.readings)
            out.append(twin)
        elif item.roles[0] != "COMMA":
            plain = thing and item is row[1]
            out.append(Item(item.start, item.end, item.text, ("MISC",)) if plain else item)
    return out


def _fits(n: Working, items: list[Item], side: Item, word: Item) -> bool:
    """The last finding of this utterance was of the other side, and its test takes the word.

    Where the word is said of all ("right all fine"), the last that had a side.
    """
    sides = {r.id for r in side.readings if r.kind == "side"}
    every = any(r.kind == "every" for item in items for r in item.readings)
    entries = [e for e in n.s.entries if e.finding.side is not None or not every]
    last = entries[-1] if entries else None
    if last is None or last.utterance != len(n.s.utterances) or len(sides) != 1:
        return False
    if last.finding.side is None or OTHER_SIDE.get(last.finding.side) not in sides:
        return False
    found = fit(n.grammar, last.finding.test, Said(readings=word.readings))
    return found is not None and found.value is not None and not found.misfit
