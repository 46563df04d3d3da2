"""The composition rules, as a table: in this mode, an item of this role may do that, at this cost.

A rule is general: it looks at modes, roles and types, never at a word, a test or a sentence. Its
cost is a weight by its own name (``weights.yaml``). To add one: write a function
``(types, claim, item) -> claim or None`` here and one line in ``RULES``; ``dictate explain`` shows
where it was used.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from dictate.parse.categories import Claim, Name, Types, Val
from dictate.parse.lattice import Item

Do = Callable[[Types, Claim, Item], Claim | None]


@dataclass(frozen=True, slots=True)
class Rule:
    """``modes`` and ``roles`` in which it may be used, what it does, and its name."""

    name: str
    modes: str
    roles: str
    do: Do


# ---- closing


def shares(types: Types, claim: Claim) -> float:
    """How many of a claim's names and values fit nothing beside them."""
    odd = 0.0
    named = 0
    for name in claim.names:
        named |= name.tests
    places = types.all
    if claim.places:
        places = 0
        for place in claim.places:
            places |= place.mask(types)
    whole = 0
    for name in claim.names:
        mask = name.mask(types) if name.tests or not named else name.mask(types) & named
        if not mask:
            mask = name.mask(types)
            if named & types.siteless and limb(name) and (name.side or name.both):
                mask = named & types.siteless  # "no LUE or RUE drift"
            else:
                odd += 1
        if claim.places and not types.lifted(mask) & places:
            odd += 0.1 * (not name.sites and bool(name.tests & ~types.siteless))
        if (
            name.kinds
            and not name.sites
            and not claim.places
            and all(r.kind == "after_site" and not r.plural for r in name.kinds)
        ):
            odd += 0.3
        ok = mask
        for val in claim.values:
            if not val.notdone and not val.deny and not val.alike and not (mask & val.mask):
                odd += 1
            elif (
                claim.mode == "NV"
                and val.item is not None
                and val.item.grade is None
                and any(r.kind == "sign" for r in name.sign)
            ):
                if not any(r.id in ("present", "absent") for r in val.item.readings):
                    odd += 0.5
        whole |= ok
    return odd


def close_cost(types: Types, claim: Claim, w: dict[str, float]) -> float:
    """What it costs to let a claim end here."""
    cost = w["dangling"] * (bool(claim.pneg) + (claim.sep == "range"))
    if claim.pside and claim.mode != "S":
        cost += w["side left over"] + (w["two sides"] if claim.side else 0.0)
    if claim.mode == "S":
        if claim.pneg and claim.pside:
            cost += w["denied again"] - w["dangling"]
        marked = claim.sep == "comma" or claim.colon
        return cost + (w["lone side marked" if marked else "lone side"] if claim.pside else 0.0)
    if claim.mode == "N":
        if claim.colon or claim.hesitant or claim.repeat or claim.sections or claim.fix:
            return cost + w["heading with a colon"]
        sign = bool(claim.names) and all(
            name.sign
            or (
                not name.tests
                and name.sites
                and not name.smask & ~types.named
                and all(r.test for r in name.sites)
            )
            for name in claim.names
        )
        if sign:
            return cost + w["a sign says itself"] + w["type mismatch"] * shares(types, claim)
        head = all(
            (name.tests & (types.headable | types.general | types.summary))
            or (not name.tests and any(r.group == "limb" for r in name.sites))
            for name in claim.names
        )
        alone = claim.link == "start"
        return cost + (w["heading"] if head else w["no value"]) - (w["opens"] if alone else 0.0)
    if claim.strange and not claim.names:
        return cost + w["strange denied"]
    if claim.mode == "V" or not claim.names:
        has_before = claim.prev is not None and _before(claim) is not None
        deny = any(v.deny for v in claim.values)
        if claim.link == "waits" or claim.fix:
            return cost + w["waits"]
        cost += w["ellipsis"] if has_before else w["no name"]
        toward = any(r.kind == "direction" for it, _ in claim.details for r in it.readings)
        if claim.places or claim.side or claim.pside or claim.rest or toward:
            cost -= w["ellipsis placed"]
        return cost + (w["dangling"] if deny else 0.0)
    return cost + w["type mismatch"] * shares(types, claim)


def _before(claim: Claim) -> Claim | None:
    prev = claim.prev
    while prev is not None:
        if prev.names or prev.places:
            return prev
        if prev.unknown or prev.stop:
            return None
        prev = prev.prev
    return None


def follow(types: Types, claim: Claim, w: dict[str, float]) -> Claim:
    """A new claim after this one, which ends."""
    if claim.empty and not claim.unknown and not claim.asides and not claim.talk:
        if claim.start < 0 or not claim.sep:
            return claim.copy()
    new = Claim()
    new.cost = (
        claim.cost + close_cost(types, claim, w) + (w["dangling place"] if claim.pprep else 0.0)
    )
    new.prev = claim
    sep = claim.sep
    if claim.last == "strange" and not sep and claim.strange:
        new.unknown = claim.strange[-1:]
    new.link = "and" if "and" in sep else "comma" if sep == "comma" else "next"
    new.order = sep
    return new


# ---- names


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
            if not (
                a is site
                and limb(site)
                and (site.side or site.both)
                and not test.tests & ~types.siteless
            ):
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
    if a.tests and b.tests:
        return True
    return False


def limb(name: Name) -> bool:
    """Its site may be an arm, a leg, or the whole of something."""
    return any(r.group == "limb" for r in name.sites)


def _begin(claim: Claim, item: Item) -> Claim:
    if claim.start < 0:
        claim.start = item.start
    claim.end = item.end
    claim.sep = ""
    claim.pprep = ""
    claim.soft = False
    return claim


def _sided(claim: Claim, name: Name) -> Name:
    if claim.pside == "neither":
        claim.pside = None
        name.side = name.side or ("both" if name.sites or not name.sign else None)
    if claim.pside and not name.side:
        name.side = claim.pside
        name.spans = (*([claim.pside_span] if claim.pside_span else []), *name.spans)
        claim.pside = claim.pside_span = None
    return name


def name_first(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """S: a name opens the claim; after a denial it stands in the denial's scope."""
    placed = bool(c.pprep)
    edge = c.pprep == "edge"
    if c.pside and c.sep and c.mode == "S":
        return None  # "on the left, hearing ...": the side is a heading
    name = make_name(types, item, role)
    if name.side and c.pside and name.side != c.pside:
        return None
    name = _sided(c, name)
    name.placed, name.edge = placed, edge
    _begin(c, item)
    if placed and role == "TEST" and "SITE" in item.roles:
        c.cost += 0.3
    if (
        role == "SITE"
        and item.text.split(" ")[0] in types.grammar.speech.place
        and " " in item.text
    ):
        placed = True
        c.cost += 0.3 if c.link == "next" else 0.0
    if c.pneg is not None:
        val = Val(None, c.pneg, types.deniable)
        val.deny = True
        c.values = (val,)
        c.pneg = None
        if placed and not name.tests:
            c.places = (name,)
            c.mode, c.last = "V", "place"
            return c
        c.names = (name,)
        c.mode, c.last = "VN", "name"
        return c
    if placed and not name.tests:
        c.places = (name,)
        c.mode, c.last = "N", "place"
        c.names = ()
        return c
    c.names = (name,)
    c.mode, c.last = "N", "name"
    c.cost += 0.06 * name.dual
    return c


def name_joins(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, VN: beside a name without a comma, both are one name."""
    if c.sep or not c.names or c.last != "name":
        return None
    if c.pprep:
        if role == "SITE" or c.names[-1].tests:
            return None
        c.cost += 0.3  # "the right ankle has three beats of clonus"
    name = make_name(types, item, role)
    if c.pside:
        if c.names[-1].side and c.names[-1].side != c.pside:
            return None
        name = _sided(c, name)
    merged = join(types, c.names[-1], name)
    if merged is None:
        return None
    _begin(c, item)
    c.announced = c.announced and not merged.sign
    c.names = (*c.names[:-1], merged)
    return c


def name_apart(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a test, a comma, and its site ("vibration, great toes absent"), or the other way round."""
    if c.sep != "comma" or len(c.names) != 1 or c.last != "name" or c.pprep or c.places:
        return None
    old = c.names[0]
    name = make_name(types, item, role)
    if bool(old.tests) == bool(name.tests) or (old.sites and name.sites) or old.sign or name.sign:
        return None
    c.sep = ""
    return name_joins(types, c, item, role)


def test_completes(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """NV: "the right arm has normal tone": the test comes after the value, and takes the site."""
    if (
        c.sep
        or c.last != "value"
        or len(c.names) != 1
        or c.names[0].tests
        or len(c.values) != 1
        or c.pprep
        or c.pside
    ):
        return None
    val = c.values[0]
    name = make_name(types, item, role)
    if (
        val.item is None
        or val.item.grade is not None
        or not name.tests & val.mask & c.names[0].smask
    ):
        return None
    merged = join(types, c.names[0], name)
    if merged is None:
        return None
    _begin(c, item)
    c.names, c.last = (merged,), "name"
    return c


def site_narrows(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a limb and then a part of it ("left leg knee extension"): the limb is where it is."""
    if (
        role != "SITE"
        or c.sep == "and"
        or not c.names
        or c.last != "name"
        or c.pprep
        or len(c.names) > 1
    ):
        return None
    old = c.names[-1]
    if old.tests or not any(r.group == "limb" for r in old.sites):
        return None
    name = make_name(types, item, role)
    if c.pside:
        return None
    old_ids = {r.id for r in old.sites}
    part = any(
        old_ids & set(types.grammar.groups[r.group].sites[r.id].part_of)
        for r in name.sites
        if r.group in types.grammar.groups
    )
    if not part:
        return None
    name.side = name.side or old.side
    name.both = name.both or old.both
    name.spans = (*old.spans, *name.spans)
    _begin(c, item)
    c.names = (name,)
    return c


def name_lists(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, VN: after a comma or "and", a name like the last one goes on with the list."""
    if not c.sep or c.sep == "range" or c.last not in ("name", "strange"):
        return None
    if not c.names:
        if not any(v.deny for v in c.values):
            return None
        name = _sided(c, make_name(types, item, role))
        _begin(c, item)
        c.names, c.pneg, c.last = (name,), None, "name"
        return c
    if c.pneg is not None and not any(v.deny for v in c.values):
        return None
    name = make_name(types, item, role)
    if not alike(types, c.names[-1], name):
        return None
    if (
        bool(name.sign) != bool(c.names[-1].sign)
        and name.tests
        and c.names[-1].tests
        and not c.values
    ):
        return None
    if (
        role == "TEST"
        and "SITE" in item.roles
        and not c.names[-1].sites
        and types.sites(item.of_kind("site")) & c.names[-1].tests
    ):
        return None  # "vibration, great toes absent": a site of the test before
    if (
        c.sep == "comma"
        and not name.tests
        and not c.names[-1].tests
        and limb(name) != limb(c.names[-1])
    ):
        return None
    if c.pprep and not c.names[-1].placed:
        return None
    name = _sided(c, name)
    name.placed = bool(c.pprep) or c.names[-1].placed
    if "and" in c.sep:
        c.listed_or = True
    name.joined = True
    _begin(c, item)
    c.pneg = None
    c.names = (*c.names, name)
    return c


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
    _begin(c, item)
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


def name_after_value(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """V: a value said first, and then what it is the value of."""
    if c.places and role == "SITE" and not c.pprep:
        return None
    if (c.sep == "and" and not c.pprep) or (c.last == "side" and c.side_placed and not c.sep):
        return None
    name = make_name(types, item, role)
    if not any(v.notdone or v.deny or (name.mask(types) & v.mask) for v in c.values):
        return None
    side_open = c.pside
    name = _sided(c, name)
    name.placed = bool(c.pprep)
    name.edge = c.pprep == "edge"
    if c.sep == "comma" and not name.placed:
        return None
    if name.placed and name.tests and name.side:
        c.cost += 0.6  # "absent on the left gag present": the side ends what came before
    _begin(c, item)
    if name.placed and not name.tests:
        c.places = (*c.places, name)
        c.last = "place"
        c.mode = "V"
        return c
    del side_open
    c.names = (name,)
    c.mode, c.last = "VN", "name"
    c.cost += 0.06 * name.dual
    return c


def place_attaches(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, NV, VN: after a word of place, a site is where it was found."""
    if not c.pprep or role != "SITE":
        return None
    name = make_name(types, item, role)
    known = 0
    for n in c.names:
        known |= n.mask(types)
    if c.names and not known & name.smask and not any(not n.tests for n in c.names):
        return None
    if c.sep and c.last != "place" and c.mode == "NV":
        return None
    name = _sided(c, name)
    name.placed, name.edge = True, c.pprep == "edge"
    if c.last == "place" and not c.sep and c.places:
        old = c.places[-1]
        if old.side and name.side and old.side != name.side:
            return None
        name.side = name.side or old.side
        name.both = name.both or old.both
        name.spans = (*old.spans, *name.spans)
        c.places = c.places[:-1]
    elif c.places and c.last != "place":
        c.twice = True
    _begin(c, item)
    c.places = (*c.places, name)
    c.last = "place"
    return c


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
    name = _sided(c, name)
    name.placed = True
    _begin(c, item)
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
    if not any(n.mask(types) & name.smask for n in c.names):
        return None
    if item.text.split(" ")[0] in types.grammar.speech.place or all(
        r.id == "all" for r in name.sites
    ):
        c.cost -= 0.45
    name = _sided(c, name)
    name.placed = True
    _begin(c, item)
    c.places = (*c.places, name)
    c.last = "place"
    return c


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


def uneven(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Left more than right": both sides have what was said, in unlike degree."""
    if not c.names:
        return None
    if not c.values and not all(n.sign for n in c.names):
        c.compare = (*c.compare, (item.start, item.end))
        c.end = item.end
        return c
    if c.side and c.side not in ("both", "alike"):
        return None
    c.side = "both"
    c.uneven = True
    c.details = (*c.details, (item, (item.start, item.end)))
    c.end = item.end
    c.sep = ""
    return c


def place_lists(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """After a place and "and" or a comma, another site is another place."""
    if c.last != "place" or role != "SITE" or c.sep == "range" or not c.places:
        return None
    name = make_name(types, item, role)
    if not c.sep:  # "oriented to person place and time"
        own = all(r.test for r in name.sites) and not c.pprep
        if not own:
            return None
        c.cost += 0.1
    if not name.smask & c.places[-1].smask:
        return None
    if c.sep == "comma" and limb(name) != limb(c.places[-1]):
        c.cost += 1.2
    name = _sided(c, name)
    name.placed = True
    name.joined = True
    _begin(c, item)
    c.places = (*c.places, name)
    return c


def test_at_place(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a place said first, and then the test ("in the right arm tone ...")."""
    if c.names or not c.places or role == "SITE" or c.mode != "N":
        return None
    name = make_name(types, item, role)
    if not any(name.tests & p.smask for p in c.places):
        return None
    name = _sided(c, name)
    _begin(c, item)
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
    name = _sided(c, name)
    name.side = name.side or old.side
    name.both = name.both or old.both
    _begin(c, item)
    c.names = (name,)
    c.last = "name"
    return c


def test_refines(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """After a word of place, a test says how a general one was tried ("intact to pinprick")."""
    if role not in ("TEST", "SIGN"):
        return None
    name = make_name(types, item, role)
    if c.last != "refined" and not c.pprep:
        return None
    if c.last == "refined" and not c.sep and not c.pprep:
        return None
    if c.last == "refined":
        _begin(c, item)
        c.names = (*c.names, name)
        return c
    if not c.names:
        return None
    old = c.names[-1]
    modal = 0
    for test in types.names(old.tests):
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
        _begin(c, item)
        c.names = (*c.names[:-1], name)
        c.last = "refined"
        return c
    if modal & name.tests:
        _begin(c, item)
        c.details = (*c.details, (item, (item.start, item.end)))
        return c
    return None


# ---- values


def _val(types: Types, c: Claim, item: Item) -> Val:
    val = Val(item, (item.start, item.end), types.value(item))
    val.alike = "ALIKE" in item.roles
    val.trouble = "TROUBLE" in item.roles
    if c.pneg is not None:
        val.negated = True
        val.span = (c.pneg[0], item.end)
        c.pneg = None
    return val


def value_first(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """S: a value opens the claim."""
    if c.pside and c.sep == "comma":
        c.cost += 0.4
    val = _val(types, c, item)
    if val.negated and item.grade is not None:
        c.cost += 0.3  # "two plus, not three plus"
    _begin(c, item)
    c.values = (val,)
    if c.pside:
        c.side, c.side_placed = c.pside, True
        c.pside = None
    c.mode, c.last = "V", "value"
    return c


def value_of_names(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: the value of the names before it."""
    if c.last == "strange" and not c.sep:
        c.unknown = (*c.unknown, *c.strange[-1:])
    if "and" in c.sep:
        c.cost += 0.8
    if c.announced and all(n.tests and not n.tests & ~types.summary for n in c.names):
        c.cost += 0.8
    where = (
        c.places or c.side or any(r.kind == "direction" for it, _ in c.details for r in it.readings)
    )
    if c.sep == "comma" and where and not c.after_colon:
        c.cost += 1.2 if c.names and all(n.sign for n in c.names) else 0.5
    val = _val(types, c, item)
    if val.negated and item.grade is not None:
        return None
    if c.pside:
        if not c.side:
            c.side, c.side_placed = c.pside, True
        c.pside = None
    _begin(c, item)
    c.values = (val,)
    c.mode, c.last = "NV", "value"
    return c


def value_denied(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """VN under a denial: "no tone increase", "no left arm weakness": the value is what is denied."""
    if c.sep or len(c.values) != 1 or not c.values[0].deny or item.grade is not None or c.pneg:
        return None
    if len(c.names) != 1 or c.strange or c.places:
        return None
    known = 0
    for n in c.names:
        known |= n.mask(types)
    mask = types.value(item)
    if not known & mask:
        return None
    val = Val(item, (item.start, item.end), mask)
    val.negated = True
    val.trouble = "TROUBLE" in item.roles
    val.span = c.values[0].span
    _begin(c, item)
    c.values = (val,)
    c.details = (*c.details,)
    c.mode, c.last = "NV", "value"
    return c


def value_more(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """V, NV: another value of the same thing ("wide-based and ataxic")."""
    if c.last != "value" or not c.values:
        return None
    val = _val(types, c, item)
    if val.negated and item.grade is not None:
        return None
    last = c.values[-1]
    if last.notdone or last.deny:
        return None
    if item.grade is not None and last.item is not None and last.item.grade is not None:
        if "and" not in c.sep:
            return None
        c.cost += 0.3
    if c.names and not val.alike and not any(n.mask(types) & val.mask for n in c.names):
        return None
    if c.pside:
        return None
    if last.negated and "and" in c.sep and c.listed_or:
        val.negated = True
    _begin(c, item)
    c.values = (*c.values, val)
    c.last = "value"
    return c


def value_new(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """VN: a word for "both alike" was said first, and then the grade."""
    if c.sep or not c.values or c.values[0].deny or c.values[0].notdone or not c.values[0].alike:
        return None
    val = _val(types, c, item)
    _begin(c, item)
    c.values = (*c.values, val)
    c.mode, c.last = "NV", "value"
    return c


def alike_trails(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """NV, VN: "and symmetric" after a value says both sides."""
    if c.side and c.side != "both":
        return None
    if not any(v.item is not None and v.item.grade is not None for v in c.values) and c.sep == "":
        pass
    _begin(c, item)
    c.details = c.details
    val = Val(item, (item.start, item.end), types.value(item))
    val.alike = True
    c.values = (*c.values, val)
    c.side = c.side or "alike"
    c.last = "value"
    if c.mode == "VN":
        c.mode = "NV"
    return c


# ---- denial, not done


def denial(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A denial waits for what it denies."""
    if c.pneg is not None:
        return None
    if c.start < 0:
        c.start = item.start
    c.pneg = (item.start, item.end)
    c.pprep = ""
    if any(r.kind == "neither" for r in item.readings) and not c.pside:
        c.pside = "neither"
    return c


def denial_again(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """VN: in a denied list "or", "nor", "no" again go on with it."""
    if not c.sep or not any(v.deny for v in c.values):
        return None
    c.pneg = (item.start, item.end)
    return c


def denied_names(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: "was not seen" after the names."""
    val = Val(item, (item.start, item.end), types.deniable)
    val.deny = True
    _begin(c, item)
    c.values = (val,)
    c.mode, c.last = "NV", "value"
    return c


def not_done(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A part was not examined, or could not be."""
    val = Val(item, (item.start, item.end), types.all)
    if item.verb:
        val.notdone = "unable" if item.able else "not_tested"
    else:
        val.notdone = item.of_kind("not_tested", "unable")[0].kind
    if c.pside and not c.side:
        c.side = c.pside
        c.pside = None
    _begin(c, item)
    c.values = (val,)
    c.mode = "NV" if c.names or c.places else "V"
    c.last = "value"
    return c


def reason(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """What follows is a reason, or what the examiner makes of it: kept in words."""
    if not c.values and not (c.names and all(n.sign for n in c.names)):
        return None
    c.eats = "reason"
    c.why_not = any(r.kind == "reason" for r in item.readings)
    c.eaten = ((item.start, item.end),)
    c.end = item.end
    return c


# ---- sides


def side_waits(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A side before what it is the side of."""
    if c.pside:
        return None
    side = _side(item)
    if side is None or any(r.kind == "trails" for r in item.readings):
        return None
    if c.mode == "N" and not c.sep and not c.pprep and c.names and c.names[-1].side:
        return None
    if c.start < 0:
        c.start = item.start
    c.pside, c.pside_span = side, (item.start, item.end)
    if c.mode == "S":
        c.sep = ""
    return c


def side_waits_placed(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """NV: after a word of place, a side may be that of the site that follows."""
    if not c.pprep and not (c.sep and (c.last == "place" or (c.mode == "VN" and c.last == "name"))):
        if (
            c.sep != "comma"
            or c.places
            or c.side
            or any(n.sites or n.side for n in c.names)
            or not c.names
        ):
            return None
        c.cost += 0.2
    return side_waits(types, c, item, role)


def side_heads(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """S: "on the right deltoid four": the word of place is of the side alone."""
    if not c.pprep or c.pside or _side(item) is None:
        return None
    c.pprep = ""
    if c.start < 0:
        c.start = item.start
    c.pside, c.pside_span = _side(item), (item.start, item.end)
    c.heads = True
    return c


def side_trails(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, V, NV, VN: a side after what it is the side of."""
    side = _side(item)
    if side is None or c.pside or side == "other":
        return None
    placed = bool(c.pprep)
    if c.sep and not placed and side != "both":
        return None
    if "and" in c.sep and side != "both" and c.mode != "S":
        return None
    if c.last == "place" and any(p.side and p.side != side for p in c.places):
        return None
    on = c.pprep == "on"
    if placed and not on:
        c.cost += 0.2
    listed = len(c.names) > 1 and not any(n.side for n in c.names)
    if c.mode == "N" and not placed and c.names and c.last == "name" and not c.sep and not listed:
        name = c.names[-1].copy()
        if name.side and name.side != side:
            return None
        name.side = side
        name.spans = (*name.spans, (item.start, item.end))
        _begin(c, item)
        c.names = (*c.names[:-1], name)
        return c
    if c.last == "place" and not placed and len(c.places) > 1 and not any(p.side for p in c.places):
        row = []
        for p in c.places:
            twin = p.copy()
            twin.side = side
            row.append(twin)
        row[-1].spans = (*row[-1].spans, (item.start, item.end))
        _begin(c, item)
        c.places = tuple(row)
        return c
    if c.last == "place" and not placed and c.places and not c.places[-1].side:
        name = c.places[-1].copy()
        name.side = side
        name.spans = (*name.spans, (item.start, item.end))
        _begin(c, item)
        c.places = (*c.places[:-1], name)
        return c
    if c.side and c.side not in (side, "alike"):
        return None
    if c.side and c.side == side:
        return None
    _begin(c, item)
    c.side, c.side_placed, c.side_cut = side, placed, placed and not on
    c.pside_span = (item.start, item.end)
    if c.last == "value" or (placed and c.mode in ("N", "VN")):
        c.last = "side"
    return c


def _side(item: Item) -> str | None:
    for r in item.readings:
        if r.kind in ("side", "trails"):
            return r.id
    return None


# ---- the rest


def waits(field: str) -> Do:
    """A rule that keeps the item's span under a field of the claim."""

    def do(types: Types, c: Claim, item: Item, role: str = "") -> Claim | None:
        if c.sep and c.mode not in ("S", "N") and (field != "unknown" or c.sep == "comma"):
            return None
        if field == "unknown" and c.soft and c.mode not in ("S", "N"):
            return None
        if field == "unknown" and c.mode == "NV" and not c.sep and c.values and all(v.notdone for v in c.values):
            c.cost -= 0.6  # "wasn't tested for want of a cold tube": the reason
            c.reasons = (*c.reasons, (item.start, item.end))
            c.end = item.end
            return c
        setattr(c, field, (*getattr(c, field), (item.start, item.end)))
        if c.start < 0:
            c.start = item.start
        c.end = item.end
        return c

    return do  # type: ignore[return-value]


def detail(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A qualifier: kept in words."""
    if c.sep == "comma":
        c.cost += 0.15
    if any(r in ("VALUE", "TEST", "SIGN", "SITE", "SIDE") for r in item.roles):
        c.cost += 1.0 if c.mode in ("NV", "V") else 0.6
    c.details = (*c.details, (item, (item.start, item.end)))
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    return c


def announces(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The examination shows ...": what follows is what was found."""
    c.announced = True
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
    name = _sided(c, make_name(types, item, role))
    name.placed = True
    _begin(c, item)
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


def part(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A part of a total ("eyes four")."""
    bits = types.of({r.test for r in item.of_kind("part")})
    row = [c, c.prev] if c.prev is not None else [c]
    if not any(n.tests & bits for x in row for n in x.names):
        return None
    c.parts = (*c.parts, (item, item))
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    c.last = "part"
    c.mode = "NV" if c.mode in ("S", "N") else c.mode
    return c


def part_value(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """The points of a part."""
    if c.last != "part" or item.grade is None:
        return None
    c.parts = (*c.parts[:-1], (c.parts[-1][0], item))
    c.last = "parted"
    c.end = item.end
    c.sep = ""
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


def rest(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The rest of": what follows speaks of what was not named."""
    if c.mode == "NV" and any(n.sites for n in (*c.names, *c.places)):
        return None
    c.rest = True
    if c.start < 0:
        c.start = item.start
    return c


def repeat(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The same": the last run once more."""
    c.repeat = True
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    if c.pside and not c.side:
        c.side = c.pside
        c.pside = None
    c.mode = "NV"
    c.last = "value"
    c.sep = ""
    return c


def section(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """The name of a section that is no test."""
    c.sections = (*c.sections, item.of_kind("section")[0].id)
    _begin(c, item)
    c.mode = "N"
    c.last = "section"
    return c


def fix(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A correction opens."""
    if "DENY" in item.roles:
        c.cost += 0.8
    c.fix = role.lower() if role != "REPLACE" else c.fix or "replace"
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    return c


def exception(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """An exception opens."""
    c.link = "except" if role == "EXCEPT" else "but"
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    return c


def stays(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A word that changes nothing; a pronoun may begin another clause."""
    if any(r.kind in ("clause", "first", "pronoun", "definite") for r in item.readings):
        c.soft = True
    return c


def both_of_two(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Palate and tongue both midline": both of the things named."""
    two = len(c.names) == 2 and not any(n.both or n.side for n in c.names)
    return (
        c
        if two
        and not c.pprep
        and len(item.text.split()) == 1
        and _side(item) == "both"
        and not any(r.kind == "trails" for r in item.readings)
        else None
    )


def filler(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A value word that is a filler where a clause begins ("well, ...")."""
    return c if c.mode == "S" or c.sep else None


def hesitates(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "um" where a value should come."""
    c.hesitant = True
    return c


def both_names(rule: Do) -> Do:
    return rule


#: Rules on the claim as it stands. The other table, FRESH, is for what may begin a new claim.
RULES: tuple[Rule, ...] = (
    Rule("name opens", "S", "TEST SITE SIGN", name_first),
    Rule("names join", "N VN", "TEST SITE SIGN", name_joins),
    Rule("test completes", "NV", "TEST", test_completes),
    Rule("names apart", "N", "TEST SITE", name_apart),
    Rule("limb and part", "N", "SITE", site_narrows),
    Rule("names listed", "N VN", "TEST SITE SIGN", name_lists),
    Rule("range of sites", "N V VN NV", "SITE", name_ranges),
    Rule("value, then name", "V", "TEST SITE SIGN", name_after_value),
    Rule("place", "N VN NV", "SITE", place_attaches),
    Rule("place", "V", "SITE", place_attaches),
    Rule("all of it", "N NV VN", "SITE", all_of_it),
    Rule("all narrowed", "N V VN NV", "SITE", all_narrowed),
    Rule("seen", "N V VN NV", "SEEN", stays),
    Rule("announced", "N", "ANNOUNCE", announces),
    Rule("no meaning", "S V VN NV", "ANNOUNCE", stays),
    Rule("place of the side", "N VN NV", "SITE", place_of_side),
    Rule("place unmarked", "NV VN", "SITE", place_unmarked),
    Rule("strange in a list", "S N VN", "UNKNOWN", strange_in_list),
    Rule("uneven", "N NV VN", "UNEVEN", uneven),
    Rule("uneven alone", "S", "UNEVEN", waits("compare")),
    Rule("places listed", "N V VN NV", "SITE", place_lists),
    Rule("place, then test", "N", "TEST SIGN", test_at_place),
    Rule("place, then part", "N", "SITE", site_at_place),
    Rule("modality", "N VN NV", "TEST SIGN", test_refines),
    Rule("value opens", "S", "VALUE TROUBLE ALIKE", value_first),
    Rule("value of names", "N", "VALUE TROUBLE ALIKE", value_of_names),
    Rule("value denied", "VN", "VALUE TROUBLE", value_denied),
    Rule("another value", "V NV", "VALUE TROUBLE", value_more),
    Rule("alike, then value", "VN", "VALUE", value_new),
    Rule("both alike", "NV VN V", "ALIKE", alike_trails),
    Rule("denial", "S N V", "DENY", denial),
    Rule("denial again", "VN", "DENY", denial_again),
    Rule("denied after", "N", "DENIED", denied_names),
    Rule("not done", "S N", "NOTDONE", not_done),
    Rule("reason", "V N VN NV", "REASON", reason),
    Rule("side waits", "S N V", "SIDE", side_waits),
    Rule("both of two", "N", "SIDE", both_of_two),
    Rule("one is no number", "S N NV", "ONE", stays),
    Rule("side heads", "S", "SIDE", side_heads),
    Rule("side waits", "NV VN", "SIDE", side_waits_placed),
    Rule("side trails", "N V VN NV", "SIDE", side_trails),
    Rule("degree", "S N V VN NV", "DEGREE", waits("degrees")),
    Rule("doubt", "S N V VN NV", "DOUBT", waits("doubts")),
    Rule("comparison", "S N V VN NV", "COMPARE", waits("compare")),
    Rule("detail", "S N V VN NV", "DETAIL", detail),
    Rule("unknown", "S N V VN NV", "UNKNOWN", waits("unknown")),
    Rule("aside", "S N V VN NV", "ASIDE", waits("asides")),
    Rule("talk", "S N V VN NV", "TALK OWN", waits("talk")),
    Rule("part", "S N NV V", "PART", part),
    Rule("points of a part", "NV V", "VALUE", part_value),
    Rule("word of place", "S N V VN NV", "PREP EDGE", prep),
    Rule("range", "N V VN NV", "RANGE", ranges),
    Rule("the rest", "S N V VN NV", "REST", rest),
    Rule("repeat", "S N", "REPEAT", repeat),
    Rule("section", "S N", "SECTION", section),
    Rule("correction", "S", "REPLACE TAKEBACK SWAP", fix),
    Rule("exception", "S", "EXCEPT BUT", exception),
    Rule("helper", "S N V VN NV", "HELPER", stays),
    Rule("filler", "S N V VN NV", "FILLER", filler),
    Rule("no meaning", "S N V VN NV", "MISC CUE", stays),
    Rule("hesitation", "S N V VN NV", "HESITATION", hesitates),
)
#: Roles that may begin a new claim where one is open.
FRESH = frozenset(
    "TEST SITE SIGN VALUE TROUBLE ALIKE DENY NOTDONE SIDE DEGREE DOUBT DETAIL UNKNOWN ASIDE TALK OWN REST "
    "REPEAT SECTION UNEVEN REPLACE TAKEBACK SWAP EXCEPT BUT PREP EDGE PART".split()
)


def table() -> dict[tuple[str, str], tuple[Rule, ...]]:
    """The rules by mode and role."""
    found: dict[tuple[str, str], tuple[Rule, ...]] = {}
    for rule in RULES:
        for mode in rule.modes.split():
            for role in rule.roles.split():
                found[mode, role] = (*found.get((mode, role), ()), rule)
    return found
