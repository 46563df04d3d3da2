"""The sign of the last grade: "plus, not minus", "sorry, minus", "plus, on both of them"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.model import UtteranceKind
from dictate.parse.amending import last_claim
from dictate.parse.corrections import doubt_last
from dictate.parse.items import NAMES, Item, Lattice, both
from dictate.parse.sides_said import turns_all
from dictate.resolve.fit import is_normal

if TYPE_CHECKING:
    from dictate.parse.stating import Stating

#: What may stand beside the sign of a grade that is said anew.
_BESIDE = frozenset(
    {"COMMA", "REPLACE", "DENY", "MISC", "FILLER", "HESITATION", "SIDE", "PREP", "AND", "BUT"}
)


def parted(grammar: Grammar, sentences: Sequence[list[Item]]) -> Iterator[list[Item]]:
    """Sentences, with what corrects one at its end as one of its own.

    "..., not plus, minus", "..., all of that was on the right".
    """
    signs = {*grammar.numbers.plus, *grammar.numbers.minus}
    for items in sentences:
        at = next((i for i in range(1, len(items)) if _begins(grammar, items, i, signs)), None)
        if at is None:
            yield items
        else:
            yield from (items[:at], items[at + 1 :])


def _begins(grammar: Grammar, items: list[Item], i: int, signs: set[str]) -> bool:
    rest = items[i + 1 :]
    if items[i].roles[0] != "COMMA" or not rest:
        return False
    graded = any(it.grade is not None for it in items[:i])
    return (graded and _only_sign(rest, signs)) or turns_all(grammar, items[:i], rest)


def _only_sign(items: Sequence[Item], signs: set[str]) -> bool:
    """Signs of a grade, and nothing that says more."""
    found = [it for it in items if it.text in signs and it.grade is None]
    return bool(found) and all(it in found or set(it.roles) & _BESIDE for it in items)


def resigned(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """Turn the sign of the last grade.

    Returns:
        None where the sentence says nothing of the kind.
    """
    numbers = n.grammar.numbers
    plus, minus = {*numbers.plus}, {*numbers.minus}
    if any(set(it.roles) & NAMES for it in items) or not _only_sign(items, plus | minus):
        return None
    if not n.s.entries:
        return None
    said = [
        it
        for i, it in enumerate(items)
        if it.text in plus | minus and not (i and "DENY" in items[i - 1].roles)
    ]
    if any(both(it) for it in items):
        now = max(e.utterance for e in n.s.entries)
        row = [e for e in n.s.entries if e.utterance == now]
    else:
        row = [e for e in n.s.entries if e.claim == last_claim(n)]
    sign = "+" if said and said[0].text in plus else "-"
    values = {e.id: f"{e.finding.value.rstrip('+-')}{sign}" for e in row}
    scales = {e.id: n.grammar.tests[e.finding.test].scale for e in row}
    known = all(
        scales[e.id] and values[e.id] in n.grammar.scales[scales[e.id] or ""].grades for e in row
    )
    if len(said) != 1 or not row or not known:
        doubt_last(n, lattice)
        return "finding"
    here = n.meaning.place(lattice, (items[0].start, items[-1].end))
    for entry in row:
        old = entry.finding
        n.past("corrected", old)
        normal = is_normal(n.grammar, old.test, values[entry.id])
        new = replace(old, value=values[entry.id], normal=normal, said=(*old.said, here))
        n.do("changed", id=entry.id, finding=new)
    return "command"
