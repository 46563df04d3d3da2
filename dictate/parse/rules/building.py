"""What every rule builds with: names from senses, two names as one, a claim that takes an item."""

from __future__ import annotations

from dictate.grammar.names import WHOLE
from dictate.parse.categories import Claim, Name, Types
from dictate.parse.items import Item


def make_name(types: Types, item: Item, role: str) -> Name:
    """The name that an item is in one role."""
    name = Name()
    name.spans = ((item.start, item.end),)
    name.dual = role == "SITE" and "TEST" in item.roles
    if role == "SITE":
        name.sites = item.of_kind("site")
        name.smask = types.sites(name.sites)
        name.both = any(r.plural for r in name.sites)
        sides = {r.side for r in name.sites if r.side}
        name.side = sides.pop() if len(sides) == 1 else None
        return name
    kinds = item.of_kind("sign") if role == "SIGN" else item.of_kind("test", "after_site")
    name.kinds = kinds
    name.tests = types.of({r.test for r in kinds})
    name.sign = tuple(r for r in kinds if r.id)
    own = {r.test for r in kinds}
    places = tuple(r for r in item.of_kind("site") if r.test in own and r.id != WHOLE)
    if places:  # "the eye does not close", "hand flipping": the name says where as well
        name.sites, name.smask = places, types.sites(places)
    name.both = any(r.plural for r in kinds) and role == "TEST"
    sides = {r.side for r in kinds if r.side}
    name.side = sides.pop() if len(sides) == 1 else None
    return name


def join(types: Types, a: Name, b: Name) -> Name | None:
    """Two names side by side as one ("left ankle" "reflex"), where their types allow it."""
    if a.tests and b.tests:
        both = a.tests & b.tests
        if a.tests & types.general and not b.tests & types.general:
            both = b.tests
        elif b.tests & types.general and not a.tests & types.general:
            both = a.tests
        if not both or (a.sites and b.sites):
            return None
        out = (b if both & b.tests == both else a).copy()
        out.tests = both
        other = a if out.spans == b.spans else b
        if other.sites:
            if not both & other.smask:
                return None
            out.sites, out.smask = other.sites, other.smask
    elif a.tests or b.tests:
        test, site = (a, b) if a.tests else (b, a)
        if test.sites:
            return None
        if not types.lifted(test.tests) & site.smask:
            if not (limb(site) and (site.side or site.both) and not test.tests & ~types.siteless):
                return None
            out = test.copy()
            out.side = site.side or test.side or ("both" if site.both else None)
            out.spans = (*a.spans, *b.spans)
            out.placed = a.placed
            return out
        out = test.copy()
        out.sites, out.smask = site.sites, site.smask
        out.both = (test.both and b is test) or site.both
    else:
        return None
    if a.side and b.side and a.side != b.side:
        return None
    out.side = a.side or b.side
    out.spans = (*a.spans, *b.spans)
    out.placed = a.placed
    return out


def alike(types: Types, a: Name, b: Name) -> bool:
    """Like with like: two tests, two sites of one kind, two signs, two full names."""
    if bool(a.tests) != bool(b.tests):
        # "knee and ankle jerks": the test of the last one is that of the list
        return bool(not a.tests and b.sites and a.smask & b.smask & b.tests) or bool(
            a.sites and not b.tests and a.tests & b.smask
        )
    if a.sites and b.sites:
        return bool(a.smask & b.smask)
    return bool(a.tests and b.tests)


def limb(name: Name) -> bool:
    """Its site may be an arm, a leg, or the whole of something."""
    return any(r.group == "limb" for r in name.sites)


def begin(claim: Claim, item: Item) -> Claim:
    if claim.start < 0:
        claim.start = item.start
    claim.end = item.end
    claim.sep = ""
    claim.pprep = ""
    claim.soft = claim.meant = claim.is_so = False
    return claim


def sided(claim: Claim, name: Name) -> Name:
    if claim.pside == "neither":
        claim.pside = None
        name.side = name.side or ("both" if name.sites or not name.sign else None)
    if claim.pside and not name.side:
        name.side = claim.pside
        name.spans = (*([claim.pside_span] if claim.pside_span else []), *name.spans)
        claim.pside = claim.pside_span = None
    return name


def side_of(item: Item) -> str | None:
    for r in item.readings:
        if r.kind in ("side", "trails"):
            return r.id
    return None


def within(types: Types, part: Name, whole: Name) -> bool:
    """A site is part of a limb."""
    limbs = {r.id for r in whole.sites if r.group == "limb"}
    groups = types.grammar.groups
    return any(
        limbs & set(groups[r.group].sites[r.id].part_of) for r in part.sites if r.group in groups
    )
