"""Headings: a side, a limb, a test or a section that holds for what follows."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.model import OTHER_SIDE, UtteranceKind
from dictate.parse.categories import Claim, Name, Types
from dictate.parse.holds import Hold
from dictate.parse.items import Lattice

if TYPE_CHECKING:
    from dictate.parse.working import Working


def is_heading(types: Types, claim: Claim, more: bool) -> bool:
    """Names something and says nothing of it: a section, a test, a limb with a side, a side."""
    if (
        claim.leftover
        or claim.pneg is not None
        or claim.values
        or claim.repeat
        or claim.doubts
        or claim.parts
        or claim.link == "except"
    ):
        return False
    if claim.sections and not claim.names:
        return True
    if not claim.names and not claim.places:
        return bool(claim.side or claim.pside) and not (
            claim.unknown or claim.compare or claim.link == "but"
        )
    if claim.announced and not claim.unknown:
        return True
    if (claim.unknown and not claim.colon) or claim.compare or claim.rest:
        return False
    if claim.hesitant and any(n.tests for n in claim.names):
        return False
    return all(_names_no_item(types, name, claim) for name in (*claim.names, *claim.places))


def _names_no_item(types: Types, name: Name, claim: Claim) -> bool:
    limb = any(r.group == "limb" for r in name.sites)
    if name.tests and not name.sites:
        if name.sign and (not claim.colon or any(r.kind == "sign" for r in name.sign)):
            return False
        return bool(name.tests & types.headable) or claim.colon
    if not name.tests:
        return limb or claim.colon
    return claim.colon or (limb and not name.sign and not name.placed)


def take_heading(n: Working, lattice: Lattice, claim: Claim, alone: bool) -> UtteranceKind:
    """Let a heading hold."""
    now = len(n.s.utterances)
    here = n.spoken(lattice, claim)
    named: list[str] = []
    plain = not claim.sections
    lone = n.s.holds.side if n.s.holds.site is None else None
    for section in claim.sections:
        if n.s.holds.section != section:
            n.leave_section()
            n.hold(test=None)
        n.hold(section=section)
    for name in (*claim.names, *claim.places):
        if name.side == "other" or claim.side == "other" or claim.pside == "other":
            continue  # "with the other hand moving"
        tests = n.types.names(name.tests) if name.tests else []
        areas = {n.grammar.area_of(t).area for t in tests}
        if tests and (len(tests) == 1 or len(areas) == 1):
            plain = False
            section = areas.pop() if len(areas) == 1 else n.grammar.area_of(tests[0]).area
            if n.s.holds.section not in (None, section):
                n.leave_section()
            n.hold(section=section, item_test=None)
            # "sensory:" opens its section; which of its tests follows is not said by it
            general = n.grammar.tests[tests[0]].gives_way and _of_section(lattice, name)
            n.hold(
                test=None if general or len(tests) > 1 else Hold(tests[0], here, now, graded=True)
            )
        limb = next((r for r in name.sites if r.group == "limb"), None)
        site = limb or (next(iter(name.sites), None) if claim.colon else None)
        if site is not None:
            n.hold(
                site=Hold(site.id, here, now, more=tuple(x for x in named if x != site.id)),
                item_site=None,
            )
            named.append(site.id)
        side = name.side or claim.side or claim.pside
        plural = (name.both and bool(name.sites)) or (limb is not None and limb.plural)
        one = lone is not None and lone.utterance == now and lone.id in OTHER_SIDE
        if limb is not None and limb.plural and one:
            n.hold(side=None)  # "on the right, legs": whether it is the side or both is asked
        elif (side and side not in ("alike", "other")) or plural:
            own = side not in (None, "alike", "other")
            n.hold(side=Hold(side if own and side else "both", here, now, "" if own else "plural"))
            n.do("set", run=())
    side = claim.side or claim.pside
    if side in ("right", "left", "both") and not claim.names and not claim.places:
        n.hold(side=Hold(side, here, now), site=None)
        n.do("set", run=())
    n.hold(item_side=None)
    several = [x for x in claim.names if len(n.types.names(x.tests)) > 1 and not x.sites]
    n.prior = n.meaning.targets(claim, []) if several and len(claim.names) == 1 else []
    if plain and alone:
        n.hold(section=None)
    n.before = []
    if n.trade or claim.sections or (alone and (claim.pside or claim.side)):
        n.do("set", opened=True)
    return "command"


def _of_section(lattice: Lattice, name: Name) -> bool:
    """One of its words is the name of a section as well."""
    starts = {start for start, _ in name.spans}
    return any(it.of_kind("section") for it in lattice.items if it.start in starts)


__all__ = ["is_heading", "replace", "take_heading"]
