"""Rules for names: what was examined, alone, joined and in lists."""

from __future__ import annotations

from dictate.interpret.lexicon import all_normal
from dictate.parse.categories import Claim, Name, Types, Val
from dictate.parse.items import Item
from dictate.parse.rules.building import alike, begin, join, limb, make_name, sided, within

#: What it costs to let a list go on after the side that ends it. Common sense, no source.
_LIST_ENDED = 0.4


def name_first(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """S: a name opens the claim; after a denial it stands in the denial's scope."""
    placed = bool(c.pprep)
    edge = c.pprep == "edge"
    if c.pside and c.sep and c.mode == "S":
        return None  # "on the left, hearing ...": the side is a heading
    name = make_name(types, item, role)
    if name.side and c.pside and name.side != c.pside:
        return None
    if c.pprep == "on" and c.pside and role == "SITE" and not limb(name):
        placed = False  # "on the right grip four": the word of place is of the side
    name = sided(c, name)
    name.placed, name.edge = placed, edge
    begin(c, item)
    if placed and role == "TEST" and "SITE" in item.roles:
        c.cost += 0.3
    if role == "TEST" and "SITE" in item.roles and _goes_on(types, c, item):
        c.cost += 0.5  # "joint position impaired in the right great toe, left great toe normal"
    if (
        role == "SITE"
        and item.text.split(" ")[0] in types.grammar.speech.place
        and " " in item.text
    ):
        placed = True
        c.cost += 0.3 if c.link == "next" else 0.0
    if c.pneg is not None:
        c.cost += 0.3 * (c.link == "but" and role == "TEST" and "SITE" in item.roles)
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
    heads = types.summary | types.general | types.headable
    c.announced = placed and bool(name.tests) and not name.tests & ~heads
    c.cost += 0.06 * name.dual
    return c


def _goes_on(types: Types, c: Claim, item: Item) -> bool:
    """The claim before, or a heading, named a test that has this item as one of its sites."""
    before, named = c.prev, c.held
    while before is not None and not before.names and not before.stop:
        before = before.prev
    if before is not None and not before.stop and (before.values or before.colon):
        for n in before.names:
            named |= n.tests
    own = types.of({r.test for r in item.of_kind("test") if r.test})
    return bool(named & types.sites(item.of_kind("site"))) and not named & own


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
        name = sided(c, name)
    old = c.names[-1]
    again = bool(old.sign) and {r.id for r in old.sign} == {r.id for r in name.sign}
    if again and any(v.deny for v in c.values):
        return None  # "no drift, left arm drifts"
    merged = join(types, old, name)
    if merged is None:
        return None
    merged.joined = old.joined
    begin(c, item)
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
    merged = name_joins(types, c, item, role)
    return merged if merged is not None and merged.names[-1].sites else None


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
    begin(c, item)
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
    name.limb = next(r.id for r in old.sites if r.group == "limb")
    name.spans = (*old.spans, *name.spans)
    begin(c, item)
    c.names = (name,)
    return c


def name_lists(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, VN: after a comma or "and", a name like the last one goes on with the list."""
    if not c.sep or c.sep == "range" or c.last not in ("name", "strange"):
        return None
    if not c.names:
        if not any(v.deny for v in c.values):
            return None
        name = sided(c, make_name(types, item, role))
        begin(c, item)
        c.names, c.pneg, c.last = (name,), None, "name"
        return c
    if c.pneg is not None and not any(v.deny for v in c.values):
        return None
    name = make_name(types, item, role)
    if not alike(types, c.names[-1], name):
        return None
    stated = c.is_so or bool(types.copula.intersection(item.text.split(" ")))
    stated = stated or all_normal(name.sign) > all_normal(
        c.names[-1].sign
    )  # "no ptosis, pupils normal"
    comma = c.sep == "comma"
    if stated and name.sign and any(v.deny for v in c.values):
        return None  # "no aphasia, the language is fluent"; "no ptosis, EOMI"
    if comma and not c.values and any(a >= max(c.names[-1].spans)[1] for a, _ in c.degrees):
        return None  # "neck moderate, legs normal"
    said = c.names[-1].sign if comma and not c.values and not c.names[-1].sites else ()
    if all_normal(said):
        return None  # "EOMI, nystagmus and ptosis absent"
    if _ends_list(c):
        c.cost += _LIST_ENDED
    if c.doubts and c.sep == "comma" and c.pside and c.names[-1].side:
        c.cost += 0.3  # "possible left droop, definite left drift": the doubt is of the first
    unlike = bool(name.sign) != bool(c.names[-1].sign)
    shown = c.sep == "and" and not (name.tests | c.names[-1].tests) & ~types.shown
    if unlike and not shown and name.tests and c.names[-1].tests and not c.values:
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
    if c.sep == "comma" and within(types, name, c.names[-1]):
        return None  # "left arm, shoulder three": a heading and a part of it
    if name.sign and not c.names[-1].sign and any(v.notdone for v in c.values):
        return None  # "unable to read, able to write": the sign says its own value
    if role == "SIGN" and item.text.split(" ")[-1] in types.grammar.speech.compare_ends:
        return None  # "..., the tongue deviates to the right": the side is of this sign alone
    name = sided(c, name)
    name.placed = bool(c.pprep) or c.names[-1].placed
    if "and" in c.sep:
        c.listed_or = True
    name.joined = True
    begin(c, item)
    c.pneg = None
    c.names = (*c.names, name)
    return c


def _ends_list(c: Claim) -> bool:
    """ "At the biceps and triceps on both sides, and the ankles ...": the list ends there."""
    before = c.prev
    listed = before is not None and bool(before.values and (before.places or before.mode == "VN"))
    return listed and c.sep == "comma and" and c.link == "and" and bool(c.names[-1].side or c.side)


def names_run_on(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: a list without a mark ("biceps triceps brachioradialis five", "bulk tone normal")."""
    if c.sep or c.last != "name" or not c.names or c.hesitant or c.pprep or c.pside or c.places:
        return None
    old, name = c.names[-1], make_name(types, item, role)
    if not alike(types, old, name) or limb(old) or limb(name) or name.side:
        return None
    if old.side and c.mode != "VN":
        return None
    if old.sites and name.sites and all(r.test for r in name.sites):
        c.cost -= 0.35  # "V1 V2 V3"
    if old.sites and name.sites and _holds(types, old, name):
        return None
    apart = types.general | types.summary
    heads = bool(old.tests & types.headable) != bool(name.tests & types.headable)
    bare = not old.sites and not name.sites
    if bare and (heads or old.tests & name.tests or (old.tests | name.tests) & apart):
        return None
    if bool(old.sites) != bool(name.sites) or old.spans[-1][1] != item.start:
        return None
    if old.sign or name.sign or name.dual:
        return None
    name.joined = True
    begin(c, item)
    c.names = (*c.names, name)
    return c


def _holds(types: Types, a: Name, b: Name) -> bool:
    """One site is the other, or a part of it."""
    for r in a.sites:
        for s in b.sites:
            if (r.group, r.test) != (s.group, s.test) or r.group not in types.grammar.groups:
                continue
            rows = types.grammar.groups[r.group].sites
            if r.id == s.id or r.id in rows[s.id].part_of or s.id in rows[r.id].part_of:
                return True
    return False


def name_after_value(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """V: a value said first, and then what it is the value of."""
    if c.places and role == "SITE" and not c.pprep:
        return None
    if ("and" in c.sep and not c.pprep) or (c.last == "side" and c.side_placed and not c.sep):
        return None
    name = make_name(types, item, role)
    if not any(v.notdone or v.deny or (name.mask(types) & v.mask) for v in c.values):
        return None
    side_open = c.pside
    name = sided(c, name)
    name.placed = bool(c.pprep)
    name.edge = c.pprep == "edge"
    if c.sep == "comma" and not name.placed:
        opens = c.link in ("start", "stop", "waits") and c.side is None and len(c.values) == 1
        if not opens or c.places:
            return None
        c.cost += 1.0  # "three plus, left knee"
    first = c.values[0].item if c.values else None
    if name.placed and first is not None and "FILLER" in first.roles and name.tests & types.summary:
        c.cost += 1.2  # "okay, moving on to motor"
    if name.placed and name.tests and "SITE" in item.roles and _goes_on(types, c, item):
        c.cost += 1.0  # "vibration reduced at the ankles, absent at the toes"
    if name.placed and name.tests and name.side:
        c.cost += 0.6  # "absent on the left gag present": the side ends what came before
    begin(c, item)
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
