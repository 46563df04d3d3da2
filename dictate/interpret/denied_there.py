""" "Left leg no wasting": a place, and what is not there, in the order "no wasting left leg".

Both readers bring their items into this order; what their items are they tell in letters.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: A side, a site of no test, a denial, a name with no site of its own, "or", a comma or "and", a
#: word that only joins, a word of place, where a clause begins; and all else.
SIDE, SITE, DENY, NAME, EITHER, LISTS, IDLE, PLACE, OPENS, OTHER = "SLDTEAIPB."
#: Whether the name at the second place may be found at the site at the first.
Fits = Callable[[int, int], bool]


def order(letters: str, fits: Fits) -> list[int] | None:
    """The places of a sentence's items in their new order, or None where nothing is moved.

    A place that was said once comes after each list that is denied of it.

    Args:
        letters: One for each item.
        fits: What may be found where.
    """
    out: list[int] = []
    moved = False
    i = 0
    while i < len(letters):
        end = i + (letters[i] == SIDE)
        place = range(i, end + 1) if letters[end : end + 1] == SITE else range(0)
        at = _idle_ends(letters, place.stop) if place else i
        if place and (not i or letters[i - 1] in OPENS + LISTS):
            start = at
            while (after := _denied_ends(letters, at, place[-1], fits)) > at:
                out += [*range(at, after), *place]
                at = after
                if letters[at : at + 2] == LISTS + DENY:
                    out.append(at)
                    at += 1
            if at > start:
                moved, i = True, at
                continue
        out.append(i)
        i += 1
    return out if moved else None


def _idle_ends(letters: str, at: int) -> int:
    while letters[at : at + 1] == IDLE:
        at += 1
    return at


def _denied_ends(letters: str, at: int, site: int, fits: Fits) -> int:
    """After a denial and the names joined by "or" that it denies; where it began if none fits."""
    if letters[at : at + 1] != DENY:
        return at
    end, after = at, at + 1
    while letters[(name := _idle_ends(letters, after)) : name + 1] == NAME and fits(site, name):
        end = after = name + 1
        if letters[end : end + 1] != EITHER:
            break
        after += 1
    placed = letters[end : end + 1] in (PLACE, SIDE, SITE)
    return at if placed else end


def found_there(site: Sequence[Reading], name: Sequence[Reading], grammar: Grammar) -> bool:
    """What is named may be found at the site.

    Args:
        site: What the word for the site may mean.
        name: What the name may mean.
        grammar: For the places that a test takes.
    """
    named = {r.test for r in name if r.kind == "sign" or (r.kind == "test" and r.id)}
    sites = {r.id for r in site if r.kind == "site"}
    return any(sites & grammar.sites_of(test).keys() for test in named)


def denied_there(row: list[Item], grammar: Grammar) -> list[Item]:
    """The first reader's row in this order.

    Args:
        row: The items of one sentence.
        grammar: For the places that a test takes.
    """
    found = order(
        "".join(map(_letter, row)),
        lambda site, name: found_there(row[site].readings, row[name].readings, grammar),
    )
    return row if found is None else [replace(row[k]) for k in found]


_LETTERS = {
    "side": SIDE, "comma": LISTS, "glue": IDLE, "degree": IDLE, "place": PLACE, "edge_site": PLACE,
    "stop": OPENS, "but": OPENS, "colon": OPENS,
}  # fmt: skip


def _letter(item: Item) -> str:
    if item.kind == "deny":
        return OTHER if "verbal" in item.others else DENY
    if item.kind == "and":
        return EITHER if "either" in item.others else LISTS
    if item.kind != "target":
        return _LETTERS.get(item.kind, OTHER)
    if not item.of_kind("site"):
        return NAME
    return OTHER if item.of_kind("test", "after_site", "sign") else SITE
