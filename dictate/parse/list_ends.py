"""The words that end a list and give it its side: "all of that", "that's", "both of them"."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.lexicon import Reading
from dictate.interpret.tokens import norms
from dictate.parse.items import Item
from dictate.parse.senses import Senses

_FIXING = {"REPLACE", "TAKEBACK", "SWAP"}


class ListEnds(Senses):
    """ "All of that bilaterally", "that's the right", "both of them": the end of a list."""

    def list_ends(self, items: list[Item]) -> list[Item]:
        """The items, with what closes a list marked, and no word of a correction any more."""
        out: list[Item] = []
        valued = fixed = sided = False
        for i, item in enumerate(items):
            role = item.roles[0]
            if role == "STOP":
                valued = fixed = sided = False
            fixed = fixed or bool(_FIXING & set(item.roles))
            words = norms(item.text)
            placed = i and items[i - 1].roles[0] in ("PREP", "RANGE")
            if valued and not fixed and words in self._classes.get("list_both", ()):
                if _ends(items, i + 1) and not (sided or placed):
                    side = (Reading("trails", "both"), Reading("list_end", "both"))
                    out.append(Item(item.start, item.end, side[0].id, ("SIDE",), side))
                    continue
            elif valued and not fixed and words in self._classes.get("list_end", ()):
                k = _next(items, i + 1)
                if k < len(items) and items[k].roles[0] == "SIDE" and _ends(items, k + 1):
                    reading = (Reading("list_end", item.text),)
                    out.append(Item(item.start, item.end, item.text, ("MISC",), reading))
                    continue
            valued = valued or "VALUE" in item.roles
            sided = sided or role == "SIDE"
            out.append(item)
        return out


def _next(items: Sequence[Item], k: int) -> int:
    """Where the next item with a meaning is."""
    while k < len(items) and items[k].roles[0] in ("MISC", "COMMA", "PREP", "AND"):
        k += 1
    return k


def _ends(items: Sequence[Item], k: int) -> bool:
    """Nothing but words that mean nothing comes before the sentence ends."""
    k = _next(items, k)
    return k == len(items) or items[k].roles[0] == "STOP"
