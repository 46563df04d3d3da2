""" "Tongue: no wasting or fasciculation": what "or" joins to a denied value is denied as well.

The value is of what was named before, and what the "or" joins has a name of its own, so the two
are no list of names. The readers share the plan; each carries it out on its own row.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from itertools import chain

from dictate.interpret.items import Item

#: What an item is to the plan. SIGN: a name that says what is found. DENIAL: such a value as "no
#: deviation". OTHER: what ends a list.
DENY, VALUE, DENIAL, SIGN, OR, COMMA, IDLE, OTHER = "D", "V", "N", "S", "o", ",", ".", "|"
_LISTED = re.compile(
    rf"(?:{DENY}\{IDLE}*{VALUE}|{DENIAL})"
    rf"(?P<more>(?:\{IDLE}*{COMMA}\{IDLE}*[{SIGN}{VALUE}])*\{IDLE}*{COMMA}?\{IDLE}*{OR}\{IDLE}*{SIGN})"
    rf"(?!\{IDLE}*{VALUE})"
)


def denied_too(row: str) -> list[int]:
    """Which items are denied by the denial before the list that they stand in.

    Args:
        row: A letter for each item of a sentence.
    """
    more = (range(*found.span("more")) for found in _LISTED.finditer(row))
    return [i for i in chain.from_iterable(more) if row[i] in SIGN + VALUE]


def or_denied(row: list[Item], deny: Collection[str]) -> list[Item]:
    """The first reader's row, with a denial before each of them.

    Args:
        row: The items of one sentence.
        deny: Words that deny what follows.
    """
    places = set(denied_too("".join(_letter(item, deny) for item in row)))
    return list(chain.from_iterable(_with_denial(i in places, item) for i, item in enumerate(row)))


def _with_denial(denied: bool, item: Item) -> Iterator[Item]:
    if denied:
        yield Item("deny", item.start, item.start)
    yield item


def _letter(item: Item, deny: Collection[str]) -> str:
    if item.kind == "value":
        return DENIAL if item.text.split(" ")[0] in deny else VALUE
    if item.kind == "and":
        return OR if "either" in item.others else OTHER
    if item.kind == "target" and any(r.id for r in item.of_kind("test", "sign")):
        return SIGN
    if item.kind in {"glue", "degree", "quality"}:
        return IDLE
    return {"deny": DENY, "comma": COMMA}.get(item.kind, OTHER)
