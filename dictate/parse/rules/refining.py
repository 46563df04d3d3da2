"""Rules for what refines a name: how it was tried, things nobody knows in a list, both of two."""

from __future__ import annotations

from dictate.parse.categories import Claim, Types, Val
from dictate.parse.items import Item
from dictate.parse.rules.building import begin, make_name, side_of


def strange_in_list(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """In a list, a thing that nobody knows is a thing of its own ("no drift, rash or tremor")."""
    if c.mode == "S":
        if c.pneg is None or c.pside:
            return None
        val = Val(None, c.pneg, types.deniable)
        val.deny = True
        c.values, c.pneg, c.mode = (val,), None, "VN"
    elif c.last == "strange" and not c.sep:
        pass
    elif not c.sep or c.last != "name" or (c.mode == "N" and len(c.names) < 1):
        return None
    c.strange = (*c.strange, (item.start, item.end))
    c.last = "strange"
    c.end = item.end
    c.sep = ""
    return c


def test_refines(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """After a word of place, a test says how a general one was tried ("intact to pinprick")."""
    if role not in ("TEST", "SIGN"):
        return None
    name = make_name(types, item, role)
    if c.last != "refined" and not c.pprep:
        return None
    if "SITE" in item.roles and c.pprep == "place":
        return None  # "sensation over the face"
    if c.last == "refined" and not c.sep and not c.pprep:
        c.cost += 0.2  # "normal to touch pin vibration and position"
        if c.pside or name.sign or not name.tests & types.headable:
            return None
    if c.last == "refined":
        begin(c, item)
        c.names = (*c.names, name)
        return c
    if not c.names:
        return None
    old = c.names[-1]
    modal = 0
    own = types.of({r.test for r in old.sites if r.test})  # "V1 intact to light touch"
    for test in types.names(old.tests or own):
        modal |= types.of(types.grammar.tests[test].modalities)
    if old.tests & types.general and name.tests & ~types.general:
        name.sites, name.smask, name.side, name.both = (
            old.sites,
            old.smask,
            old.side or name.side,
            old.both,
        )
        if old.sign and any(v.deny for v in c.values):
            values = {r.id for r in old.sign}
            name.sign = tuple(
                type(r)("sign", v, r.test)
                for r in name.kinds
                for v in values
                if v in types.grammar.tests[r.test].values
            )
        name.spans = (*old.spans, *name.spans)
        begin(c, item)
        c.names = (*c.names[:-1], name)
        c.last = "refined"
        return c
    same = name.tests == old.tests and not (name.sign or name.side or old.placed)
    if modal & name.tests or (same and c.mode == "NV" and not c.pside and not c.sep):
        begin(c, item)
        c.details = (*c.details, (item, (item.start, item.end)))
        return c
    return None


def both_of_two(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Palate and tongue both midline": both of the things named."""
    two = len(c.names) == 2 and not any(n.both or n.side for n in c.names)
    return (
        c
        if two
        and not c.pprep
        and len(item.text.split()) == 1
        and side_of(item) == "both"
        and not any(r.kind == "trails" for r in item.readings)
        else None
    )
