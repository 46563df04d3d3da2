"""Corrections that name no target: the last statement has another value or side."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.model import OTHER_SIDE, Place, Side, UtteranceKind
from dictate.parse.amending import (
    all_of_it,
    ask_value,
    bare_value,
    close,
    last_claim,
    nothing_before,
    remove,
    side_of_claim,
    value_of,
)
from dictate.parse.categories import Claim
from dictate.parse.entering import enter
from dictate.parse.holds import Hold
from dictate.parse.items import Lattice
from dictate.parse.state import Entry, Open
from dictate.resolve import questions
from dictate.resolve.fit import is_normal
from dictate.resolve.several import said_once

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def revalue(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind | None:
    """The last statement with another value or side ("no, make that four plus")."""
    last = last_claim(n)
    side = side_of_claim(claim)
    one = next((o for o in reversed(n.s.open) if o.number == last and o.claim is not None), None)
    if one is not None:
        return _reask(n, lattice, claim, one)
    entries = _that_had(n, claim) or [e for e in n.s.entries if e.claim == last]
    if not entries:
        return nothing_before(n, lattice, claim)
    here = n.spoken(lattice, claim)
    if claim.values and not any(value_of(n, e.finding, v) for e in entries for v in claim.values):
        recent = [
            e for e in n.s.entries
            if any(value_of(n, e.finding, v) for v in claim.values)
            and side in (None, e.finding.side)
        ]  # fmt: skip
        if recent:
            entries = [e for e in recent if e.claim == recent[-1].claim]
    if claim.side == "alike" or all_of_it(n, lattice):
        entries = [e for e in n.s.entries if e.id in n.s.run] or entries
    murky = claim.doubts or claim.unknown or claim.repeat or claim.strange
    if murky and entries:  # "five, no, could be four"
        for entry in entries:
            ask_value(n, lattice, claim, entry)
        return "finding"
    if claim.values and side == "both":
        return _of_both_sides(n, here, claim, entries)
    if claim.values:
        if side in ("right", "left"):
            sites = {(e.finding.test, e.finding.site) for e in entries}
            of_side = [
                e
                for e in n.s.entries
                if e.finding.side == side and (e.finding.test, e.finding.site) in sites
            ]
            if claim.more and not of_side:
                return _as_well(n, lattice, claim, entries, side)
            entries = of_side or entries
        meant = [e for e in entries if any(value_of(n, e.finding, v) for v in claim.values)]
        for entry in meant or entries:
            old = entry.finding
            value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
            if value is None:
                ask_value(n, lattice, claim, entry)
                continue
            new_side = old.side
            if side in ("right", "left") and len(entries) == 1:
                new_side = side  # type: ignore[assignment]
            n.past("corrected", old)
            normal = is_normal(n.grammar, old.test, value)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(
                    old, side=new_side, value=value, normal=normal, said=(*old.said, here)
                ),
            )
        return "finding"
    if side in ("right", "left", "other"):
        both = len({e.finding.side for e in entries}) == 2
        if not both:
            entries = with_one_side(n, lattice, entries)
        for entry in entries:
            old = entry.finding
            if old.side is None:
                continue
            new = side if side != "other" else OTHER_SIDE[old.side]
            if both and old.side != new:
                remove(n, entry, "corrected")
                continue
            n.past("corrected", old)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(old, side=cast(Side, new), said=(*old.said, here)),
            )
        if n.s.holds.side is not None and side in ("right", "left"):
            n.hold(side=Hold(side, here, len(n.s.utterances)))
    return "command"


def _that_had(n: Stating, claim: Claim) -> list[Entry]:
    """ "Four, not three plus": the one of the last utterance that had the second value."""
    if claim.wrong is None:
        return []
    last = max((e.utterance for e in n.s.entries), default=-1)
    had = [
        e
        for e in n.s.entries
        if e.utterance == last and value_of(n, e.finding, claim.wrong) == e.finding.value
    ]
    return [e for e in had if e.claim == had[-1].claim]


def with_one_side(n: Stating, lattice: Lattice, entries: list[Entry]) -> list[Entry]:
    """ "Left deltoid four, biceps three": one "left" for both, and so is the right one."""
    last = entries[-1]
    row = [e for e in n.s.entries if e.utterance == last.utterance and e.finding.side]
    now = last.utterance == len(n.s.utterances)
    end = max(p.end for p in last.finding.said)
    text = lattice.utterance.text[:end] if now else n.s.utterances[last.utterance].text
    once = said_once(n.grammar, text)
    alike = {e.finding.side for e in row} == {last.finding.side}
    return row if once and alike and last in row else entries


def _of_both_sides(
    n: Stating, here: Place, claim: Claim, entries: list[Entry]
) -> UtteranceKind | None:
    """ "Sorry, they are both extensor": the test and site of the last finding, on both sides."""
    for spot in dict.fromkeys((e.finding.test, e.finding.site) for e in entries):
        row = [e for e in n.s.entries if (e.finding.test, e.finding.site) == spot]
        old = row[-1].finding
        value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
        for entry in row:
            remove(n, entry, "corrected")
            if value is None:
                about = (*entry.finding.said, here)
                n.open(questions.again(n.grammar, entry.finding, about))
        if value is None:
            continue
        normal = is_normal(n.grammar, old.test, value)
        for one in ("right", "left"):
            new = replace(old, side=one, value=value, normal=normal, said=(*old.said, here))
            n.taken += enter(n, new, frozenset(), "start")
    return "finding"


def _as_well(
    n: Stating, lattice: Lattice, claim: Claim, entries: list[Entry], side: str
) -> UtteranceKind:
    """ "..., I mean dysmetric, and the right was fine": the other side of what was corrected."""
    for entry in entries:
        old = entry.finding
        value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
        if value is None:
            ask_value(n, lattice, claim, entry)
            continue
        normal = is_normal(n.grammar, old.test, value)
        here = n.spoken(lattice, claim)
        new = replace(
            old,
            side=cast(Side, side),
            value=value,
            normal=normal,
            said=(*old.said, here),
            detail=(),
        )
        n.taken += enter(n, new, frozenset(), "start")
    return "finding"


def _reask(n: Stating, lattice: Lattice, claim: Claim, one: Open) -> UtteranceKind:
    """The last statement was a question; the correction answers or restates it."""
    assert one.claim is not None and one.lattice is not None
    close(n, one, "corrected")
    merged = one.claim.copy()
    merged.doubts = ()
    merged.unknown = ()
    if claim.values:
        merged.values = tuple(bare_value(v) for v in claim.values)
        merged.mode = "NV"
    side = side_of_claim(claim)
    if side:
        merged.side = side
        names = []
        for name in merged.names:
            twin = name.copy()
            twin.side = None
            names.append(twin)
        merged.names = tuple(names)
    draft, _ = n.meaning.draft(one.lattice, merged, one.holds, one.before)
    here = n.spoken(lattice, claim)
    for finding in draft.findings:
        enter(n, replace(finding, said=(*finding.said, here)), frozenset(), "start")
    if draft.ask is not None:
        n.ask(one.lattice, merged, draft, draft.ask, list(one.before))
    return "finding"
