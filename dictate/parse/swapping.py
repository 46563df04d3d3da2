"""Corrections of sides and of values that were exchanged ("the other way round")."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.model import OTHER_SIDE, Place, UtteranceKind
from dictate.parse.amending import all_of_it, ask_what, last_claim, remove
from dictate.parse.categories import Claim
from dictate.parse.items import Lattice, folded
from dictate.parse.revaluing import with_one_side
from dictate.parse.state import Entry
from dictate.resolve import questions
from dictate.resolve.fit import is_normal

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def swap(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    last = last_claim(n)
    here = n.spoken(lattice, claim)
    entries = [e for e in n.s.entries if e.claim == last and e.finding.side]
    flip = any(r.kind == "flip" for it in lattice.items for r in it.readings)
    named = {r.test for it in lattice.items for r in it.of_kind("test") if "TEST" in it.roles}
    if named and not flip:
        row = [e for e in n.s.entries if e.finding.test in named and e.finding.side in OTHER_SIDE]
        entries = [e for e in row if e.utterance == row[-1].utterance]
        flip = True
    elif _everything(n, lattice):
        entries, flip = [e for e in n.s.entries if e.finding.side in OTHER_SIDE], True
    elif all_of_it(n, lattice):
        entries = [e for e in n.s.entries if e.id in n.s.run and e.finding.side] or entries
    elif not flip and _both_alike(n, entries):
        return _exchange(n, here, entries)
    elif flip and entries:
        entries = with_one_side(n, lattice, entries)
    if not flip and entries and len({e.finding.side for e in entries}) == 1:
        other = [
            e
            for e in n.s.entries
            if e.utterance == entries[0].utterance
            and e.finding.side == OTHER_SIDE[entries[0].finding.side or ""]
        ]
        entries += other
    if not entries:
        return ask_what(n, lattice, claim)
    for entry in entries:
        old = entry.finding
        n.past("corrected", old)
        n.do(
            "changed",
            id=entry.id,
            finding=replace(old, side=OTHER_SIDE[old.side or ""], said=(*old.said, here)),
        )
    return "command"


def _everything(n: Stating, lattice: Lattice) -> bool:
    """ "Everything so far is the wrong way round"."""
    whole = n.lattices.forms("everything")
    return any(folded(it.text) in whole for it in lattice.items)


def _both_alike(n: Stating, entries: list[Entry]) -> bool:
    """What was said last is of both sides, so that only values can have been exchanged."""
    sides = {e.finding.side for e in entries}
    return len(sides) == 2 and len({e.finding.value for e in entries}) == 1


def _exchange(n: Stating, here: Place, entries: list[Entry]) -> UtteranceKind:
    """ "Knees trace, ankles absent. The other way around.": the values of two sites change places.

    Where the utterance did not speak of just two, all of it is asked about.
    """
    spoken = [e for e in n.s.entries if e.utterance == entries[0].utterance]
    spots = list(dict.fromkeys((e.finding.test, e.finding.site) for e in spoken))
    values = {s: {e.finding.value for e in spoken if (e.finding.test, e.finding.site) == s}
              for s in spots}  # fmt: skip
    pair = len(spots) == 2 and spots[0][0] == spots[1][0]
    clear = pair and all(len(found) == 1 for found in values.values())
    for entry in spoken:
        old = entry.finding
        if not clear:
            remove(n, entry, "corrected")
            n.open(questions.again(n.grammar, old, (*old.said, here)))
            continue
        other = spots[1] if (old.test, old.site) == spots[0] else spots[0]
        value = next(iter(values[other]))
        n.past("corrected", old)
        normal = is_normal(n.grammar, old.test, value)
        said = (*old.said, here)
        n.do("changed", id=entry.id, finding=replace(old, value=value, normal=normal, said=said))
    return "command"
