"""A limb between commas that says the side of a name: "wrist flexion, both hands, five"."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading
from dictate.interpret.set_apart import of_limb
from dictate.parse.items import Item, both


def set_apart(items: list[Item], grammar: Grammar) -> list[Item]:
    """The items without the comma before such a side, and the limb as a word that means nothing.

    Args:
        items: Those of an utterance.
        grammar: For the parts of limbs.
    """
    name: Item | None = None
    done = 0
    for i in range(1, len(items) - 4):
        if items[i].roles[0] != "COMMA" or i < done:
            continue
        before, _, side, limb, after, value = items[i - 1 : i + 5]
        again = name is not None and "VALUE" in before.roles
        part = name if again and name is not None else before
        own = i > 1 and items[i - 2].roles[0] == "SIDE" and not again
        sided = (
            not own
            and side.roles[0] == "SIDE"
            and after.roles[0] == "COMMA"
            and "VALUE" in value.roles
        )
        if not sided or not of_limb(part.readings, limb.readings, grammar):
            name = None
            continue
        name, done = part, i + 4
        kinds = ("side",) if again else ("side", "trails")
        readings = tuple(Reading(kind, r.id) for r in side.of_kind("side") for kind in kinds)
        items[i + 1] = Item(side.start, limb.end, side.text, ("SIDE",), readings)
        items[i + 2] = Item(limb.end, limb.end, "", ("MISC",))
        k = i + 3 if again else i
        items[k] = Item(items[k].start, items[k].end, items[k].text, ("MISC",))
    return items


def both_parts(items: list[Item]) -> list[Item]:
    """ "The face is weak, both upper and lower": both parts, and not both sides.

    Args:
        items: Those of an utterance.
    """
    for i in range(len(items) - 3):
        side, first, join, second = items[i : i + 4]
        parts = "DETAIL" in first.roles and "DETAIL" in second.roles and join.roles[0] == "AND"
        if parts and side.roles[0] == "SIDE" and both(side) and side.end - side.start == 1:
            side.roles = ("MISC",)
            first.roles = second.roles = ("DETAIL",)
    return items
