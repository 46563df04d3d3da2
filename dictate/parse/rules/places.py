"""Rules for places: where it was found, in lists, ranges and edges."""

from __future__ import annotations

from dictate.parse.categories import Claim, Name, Types
from dictate.parse.items import Item
from dictate.parse.rules.building import begin, limb, make_name, sided, within


def name_ranges(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "V1 to V3": the upper end of a range of sites."""
    if c.sep != "range" or role != "SITE":
        return None
    row = c.places if c.last == "place" else c.names
    if not row:
        return None
    between = site_range(types, row[-1], make_name(types, item, role))
    if not between:
        return None
    begin(c, item)
    row = (*row[:-1], *between)
    if c.last == "place":
        c.places = row
    else:
        c.names = row
    return c


def site_range(types: Types, a: Name, b: Name) -> tuple[Name, ...]:
    """The names from one site to another in an order of the grammar; empty where there is none."""
    out: list[Name] = []
    for r in a.sites:
        upper = next((s for s in b.sites if (s.group, s.test) == (r.group, r.test)), None)
        if upper is None:
            continue
        ranges = (
            types.grammar.tests[r.test].ranges if r.test else types.grammar.groups[r.group].ranges
        )
        for order in ranges:
            if r.id in order and upper.id in order and order.index(r.id) < order.index(upper.id):
                for name in order[order.index(r.id) : order.index(upper.id) + 1]:
                    one = a.copy()
                    one.sites = (type(r)("site", name, r.test, r.group),)
                    one.smask = types.sites(one.sites)
                    one.spans = (*a.spans, *b.spans)
                    out.append(one)
                return tuple(out)
    return ()


def place_attaches(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, NV, VN: after a word of place, a site is where it was found."""
    if not c.pprep or role != "SITE":
        return None
    if _denied_apart(c):
        return None
    name = make_name(types, item, role)
    known = 0
    for n in c.names:
        known |= n.mask(types)
    if c.names and not known & name.smask and not any(not n.tests for n in c.names):
        return None
    if c.sep and c.last != "place" and c.mode == "NV":
        return None
    if c.names and all(_elsewhere(types, n, name) for n in c.names):
        c.cost += 1.6  # "ankles both sides and at the knees reduced": the knees are another place
    graded_again = c.mode == "NV" and len(c.values) > 1 and not limb(name)
    if graded_again and c.names and all(n.sites for n in c.names):
        c.cost += 1.0  # "arms brisk, three plus at the biceps": the second value is of the place
    if c.after_colon and c.names and all(limb(n) and not n.tests for n in c.names):
        return None  # "right arm: five for the deltoid": the limb is a heading
    name = sided(c, name)
    name.placed, name.edge = True, c.pprep == "edge"
    if c.last == "place" and not c.sep and c.places:
        old = c.places[-1]
        if old.side and name.side and old.side != name.side:
            return None
        if not old.side and within(types, old, name):
            old = old.copy()  # "up to mid shin on both legs": the part is where it is
            old.side, old.both = name.side, name.both or old.both
            old.spans = (*old.spans, *name.spans)
            name = old
        else:
            name.side = name.side or old.side
            name.both = name.both or old.both
            name.spans = (*old.spans, *name.spans)
        c.places = c.places[:-1]
    elif c.places and c.last != "place":
        c.twice = True
        c.cost += 0.8
    begin(c, item)
    c.places = (*c.places, name)
    c.last = "place"
    return c


def _denied_apart(c: Claim) -> bool:
    """ "Oriented to person, not to time": the denied place is a claim of its own.

    In "not to time, not to place" the denial goes on, and is used up.
    """
    if c.pneg is None or not c.places:
        return False
    if any(v.deny for v in c.values):
        c.pneg = None
    return c.pneg is not None


def _elsewhere(types: Types, name: Name, place: Name) -> bool:
    """A place that neither holds the site of a name, nor is held by it, nor is the same."""
    if not name.sites or limb(place) or limb(name):
        return False
    for a in name.sites:
        for b in place.sites:
            if (a.group, a.test) != (b.group, b.test):
                continue
            if a.id == b.id:
                return False
            rows = types.grammar.groups[a.group].sites if a.group in types.grammar.groups else {}
            if (a.id in rows and b.id in rows[a.id].part_of) or (
                b.id in rows and a.id in rows[b.id].part_of
            ):
                return False
    return bool(name.smask & place.smask)


def place_of_side(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """After a word of place, a part of the body that the test does not name its sites by."""
    if not c.pprep or not c.names or c.sep or role != "SITE":
        return None
    name = make_name(types, item, role)
    known = 0
    for n in c.names:
        known |= n.mask(types)
    if known & name.smask:
        return None
    name = sided(c, name)
    name.placed = True
    begin(c, item)
    c.places = (*c.places, name)
    c.last = "place"
    return c


def place_unmarked(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """NV, VN: a site without a word of place, where the names have none ("reduced left hand")."""
    if (
        c.pprep
        or role != "SITE"
        or c.places
        or "and" in c.sep
        or not c.names
        or any(n.sites for n in c.names)
    ):
        return None
    name = make_name(types, item, role)
    if not any(types.lifted(n.mask(types)) & name.smask for n in c.names):
        return None
    if item.text.split(" ")[0] in types.grammar.speech.place or all(
        r.id == "all" for r in name.sites
    ):
        c.cost -= 0.45
    name = sided(c, name)
    name.placed = True
    begin(c, item)
    c.places = (*c.places, name)
    c.last = "place"
    return c


def place_of_sign(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Knows the place and the date": a site that only the sign's own test has is its place."""
    if c.sep or c.pprep or c.pside or role != "SITE" or c.last != "name":
        return None
    own = {r.test for r in c.names[-1].sign}
    name = make_name(types, item, role)
    if c.names[-1].sites or not own or not all(r.test in own for r in name.sites):
        return None
    c.pprep = "place"
    return place_attaches(types, c, item, role)


def place_lists(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """After a place and "and" or a comma, another site is another place."""
    if c.last != "place" or role != "SITE" or c.sep == "range" or not c.places:
        return None
    if _denied_apart(c):
        return None
    name = make_name(types, item, role)
    if not c.sep:  # "oriented to person place and time"
        own = all(r.test for r in name.sites) and not c.pprep
        bare = not (c.pprep or c.pside or limb(name) or limb(c.places[-1]) or c.mode == "N")
        if not own and not bare:
            return None
        c.cost += 0.1 if own else 0.4
    if not name.smask & c.places[-1].smask:
        return None
    if c.sep == "comma" and limb(name) != limb(c.places[-1]):
        c.cost += 1.2
    name = sided(c, name)
    name.placed = True
    name.joined = True
    begin(c, item)
    c.places = (*c.places, name)
    return c


def test_at_place(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a place said first, and then the test ("in the right arm tone ...")."""
    if c.names or not c.places or role == "SITE" or c.mode != "N":
        return None
    name = make_name(types, item, role)
    if not any(name.tests & p.smask for p in c.places):
        return None
    name = sided(c, name)
    begin(c, item)
    c.names = (name,)
    c.last = "name"
    return c


def site_at_place(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a limb said first as a place, and then a part of it."""
    if c.names or not c.places or role != "SITE" or c.mode != "N" or c.pprep or "and" in c.sep:
        return None
    old = c.places[-1]
    if not any(r.group == "limb" for r in old.sites):
        return None
    name = make_name(types, item, role)
    name = sided(c, name)
    name.side = name.side or old.side
    name.both = name.both or old.both
    name.limb = next(r.id for r in old.sites if r.group == "limb")
    begin(c, item)
    c.names = (name,)
    c.last = "name"
    return c


def all_narrowed(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Throughout the legs", "2+ throughout UE": the second says where."""
    if (
        c.last != "place"
        or c.sep
        or not c.places
        or not all(r.id == "all" for r in c.places[-1].sites)
    ):
        return None
    name = sided(c, make_name(types, item, role))
    name.placed = True
    begin(c, item)
    c.places = (*c.places[:-1], name)
    return c


def all_of_it(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The right arm five throughout": the whole of what was named."""
    if c.sep or c.pprep or not c.names or not any(n.sites for n in c.names) or c.places:
        return None
    if (
        not all(r.id == "all" for r in item.of_kind("site"))
        or item.text.split(" ")[0] in types.grammar.speech.place
    ):
        return None
    c.end = item.end
    return c


def prep(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A word of place: what follows is where."""
    c.pprep = (
        "edge"
        if role == "EDGE"
        else "on"
        if item.text in types.grammar.speech.before_side
        else "place"
    )
    if role == "EDGE":
        c.details = (*c.details, (item, (item.start, item.end)))
    return c


def ranges(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "to" after a site of an order: a range may follow."""
    row = c.places if c.last == "place" else c.names
    if c.last not in ("place", "name") or not row or c.sep:
        return None
    grammar = types.grammar
    if not any(
        (grammar.tests[r.test].ranges if r.test else grammar.groups[r.group].ranges)
        for r in row[-1].sites
    ):
        return None
    c.sep = "range"
    return c
