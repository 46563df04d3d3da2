"""Rules for values and denials: what was found, what was not, and what was not done."""

from __future__ import annotations

from dictate.parse.categories import Claim, Types, Val
from dictate.parse.items import Item
from dictate.parse.rules.building import begin


def value_said(types: Types, c: Claim, item: Item) -> Val:
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
    val = value_said(types, c, item)
    if val.negated and item.grade is not None:
        c.cost += 0.3  # "two plus, not three plus"
        c.cost += 0.8 * ("ONE" in item.roles)  # "not a sign of one"
    begin(c, item)
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
        c.cost += 0.6
    before = c.prev
    if "and" in c.sep:
        c.cost += 0.8
    if _ends_list(c) and (c.sep == "comma" or not c.names[0].side):
        c.cost += 0.8 if c.sep == "comma" else 0.4
    cut = c.link == "next" and before is not None and before.mode == "N"
    if c.sep == "comma" and c.details and (cut or any(n.side for n in c.names)):
        c.cost += 0.4  # "clonus right ankle three beats, none left"
    if c.pside and any(n.side and n.side != c.pside for n in c.names):
        c.cost += 1.5  # "right great toe, left fine": of two sides
    if c.announced and all(n.tests and not n.tests & ~types.summary for n in c.names):
        c.cost += 0.8
    toward = any(r.kind == "direction" for it, _ in c.details for r in it.readings)
    sided_ = bool(c.details) and any(n.side for n in c.names)
    where = c.places or c.side or toward or sided_
    if c.sep == "comma" and where and not c.after_colon:
        c.cost += 1.8 if c.names and all(n.sign for n in c.names) else 0.5
    val = value_said(types, c, item)
    if val.negated and item.grade is not None:
        return None
    if c.pside == "neither":
        c.pside = None
    if c.pside and any(n.side not in (None, c.pside) for n in c.names):
        c.cost += 1.0  # "R great toe, L ok"
    if c.pside:
        c.cost += 0.6 * (bool(c.names) and all(n.sign for n in c.names))
        if not c.side:
            c.side, c.side_placed = c.pside, True
        c.pside = None
    begin(c, item)
    c.values = (val,)
    c.mode, c.last = "NV", "value"
    return c


def _ends_list(c: Claim) -> bool:
    """ "Reduced at C6 and C7, normal at ...": before the comma the list of places ended."""
    old, name = c.prev, c.names[0] if c.names else None
    return (
        c.link in ("and", "comma")
        and old is not None
        and old.last == "place"
        and bool(old.values or (old.names and all(n.sign for n in old.names)))
        and name is not None
        and not name.tests
        and bool(old.places[-1].smask & name.smask)
    )


def value_denied(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """VN, denied: "no tone increase", "no left arm weakness": the value is what is denied."""
    if c.sep or len(c.values) != 1 or not c.values[0].deny or c.pneg:
        return None
    if len(c.names) != 1 or c.strange or c.places:
        return None
    if item.grade is not None and (c.names[0].sign or not c.names[0].sites):
        return None  # "can't call the left biceps five": the grade is denied
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
    begin(c, item)
    c.values = (val,)
    c.details = (*c.details,)
    c.mode, c.last = "NV", "value"
    return c


def value_more(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """V, NV: another value of the same thing ("wide-based and ataxic")."""
    if c.last != "value" or not c.values:
        return None
    val = value_said(types, c, item)
    if val.negated and item.grade is not None:
        return None
    last = c.values[-1]
    if last.notdone or last.deny:
        return None
    if item.grade is not None and last.item is not None and last.item.grade is not None:
        if _pair(c, last.item, item):
            c.side, c.end, c.sep, c.last = "both", item.end, "", "pair"
            return c
        if "and" not in c.sep:
            return None
        c.cost += 0.3
    if c.names and not val.alike and not any(n.mask(types) & val.mask for n in c.names):
        return None
    if c.pside:
        return None
    if last.negated and "and" in c.sep and c.listed_or:
        val.negated = True
    begin(c, item)
    c.values = (*c.values, val)
    c.last = "value"
    return c


def _pair(c: Claim, one: Item, two: Item) -> bool:
    """ "Five and five", "4+ 4+": of the right and of the left, where no side is said."""
    a, b = one.grade, two.grade
    if a is None or b is None or (a.number, a.sign) != (b.number, b.sign) or a.counts or b.counts:
        return False
    sided = c.side or c.pside or any(n.side for n in (*c.names, *c.places))
    grades = [v for v in c.values if v.item is not None and v.item.grade is not None]
    apart = c.sep in ("", "and") and not sided and len(grades) == 1
    return apart and bool(c.names) and (c.sep == "and" or two.start == one.end)


def denied_too(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Without papilledema or pallor": another word for what the same test would show."""
    if "and" not in c.sep or not c.names or not all(v.deny for v in c.values) or c.pside:
        return None
    name = c.names[-1]
    same = types.of({r.test for r in item.readings if r.kind in ("value", "sign") and r.test})
    if item.grade is not None or not name.tests & same or not name.sign or c.places:
        return None
    c.details = (*c.details, (item, (item.start, item.end)))
    begin(c, item)
    return c


def value_new(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """VN: a word for "both alike" was said first, and then the grade."""
    if c.sep or not c.values or c.values[0].deny or c.values[0].notdone or not c.values[0].alike:
        return None
    val = value_said(types, c, item)
    begin(c, item)
    c.values = (*c.values, val)
    c.mode, c.last = "NV", "value"
    return c


def alike_trails(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """NV, VN: "and symmetric" after a value says both sides."""
    if c.side and c.side != "both":
        return None
    if not any(v.item is not None and v.item.grade is not None for v in c.values) and c.sep == "":
        pass
    begin(c, item)
    c.details = c.details
    val = Val(item, (item.start, item.end), types.value(item))
    val.alike = True
    c.values = (*c.values, val)
    c.side = c.side or "alike"
    c.last = "value"
    if c.mode == "VN":
        c.mode = "NV"
    return c


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


def denied_after(types: Types, c: Claim) -> Claim | None:
    """ "Neglect no, extinction no": the denial after a name, at its end."""
    span = c.pneg
    if span is None or span[1] - span[0] != 1 or span[0] < c.end or not c.names or c.places:
        return None
    if not all(n.tests & types.deniable for n in c.names):
        return None
    twin = c.copy()
    val = Val(None, span, types.deniable)
    val.deny = True
    twin.values, twin.pneg, twin.mode, twin.last = (val,), None, "NV", "value"
    twin.end = span[1]
    return twin


def denied_names(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N: "was not seen" after the names."""
    val = Val(item, (item.start, item.end), types.deniable)
    val.deny = True
    begin(c, item)
    c.values = (val,)
    c.mode, c.last = "NV", "value"
    return c


def not_done(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A part was not examined, or could not be."""
    if item.verb and c.mode == "N" and not c.soft and item.text.split(" ")[0] in types.active:
        return None  # "the toes don't do a thing": nobody says that they were not tested
    val = Val(item, (item.start, item.end), types.all)
    if item.verb:
        val.notdone = "unable" if item.able else "not_tested"
    else:
        val.notdone = item.of_kind("not_tested", "unable")[0].kind
    if c.pside and not c.side:
        c.side = c.pside
        c.pside = None
    begin(c, item)
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
