"""Rules for the words around a statement: qualifiers, doubts, corrections, fillers."""

from __future__ import annotations

from collections.abc import Callable

from dictate.parse.categories import Claim, Types
from dictate.parse.items import Item
from dictate.parse.rules.building import begin


def waits(field: str) -> Callable[[Types, Claim, Item, str], Claim | None]:
    """A rule that keeps the item's span under a field of the claim."""

    def do(types: Types, c: Claim, item: Item, role: str = "") -> Claim | None:
        if c.sep and c.mode not in ("S", "N") and (field != "unknown" or c.sep == "comma"):
            return None
        if field == "unknown" and c.soft and c.mode not in ("S", "N"):
            return None
        if (
            field == "unknown"
            and c.mode == "NV"
            and not c.sep
            and c.values
            and all(v.notdone for v in c.values)
        ):
            c.cost -= 0.6  # "wasn't tested for want of a cold tube": the reason
            c.reasons = (*c.reasons, (item.start, item.end))
            c.end = item.end
            return c
        setattr(c, field, (*getattr(c, field), (item.start, item.end)))
        if c.start < 0:
            c.start = item.start
        c.end = item.end
        return c

    return do


def detail(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A qualifier: kept in words."""
    if _of_other_tests(types, c, item):
        return None
    if c.sep == "comma":
        c.cost += 0.15
    quality = any(r.kind in ("quality", "doubt") for r in item.readings)
    if quality and c.pneg is not None and c.pneg[1] == item.start and c.mode in ("N", "NV"):
        c.doubts = (*c.doubts, (c.pneg[0], item.end))  # "knee jerks weren't hard to get"
        c.pneg = None
    if any(r in ("VALUE", "TEST", "SIGN", "SITE", "SIDE") for r in item.roles):
        own = 0.1 if _of_these_alone(types, c, item) else 1.0
        c.cost += own if c.mode in ("NV", "V") else 0.6
    c.details = (*c.details, (item, (item.start, item.end)))
    sides = {r.side for r in item.of_kind("test", "sign") if r.side}
    if len(sides) == 1 and c.names and c.names[-1].side is None and not c.side:
        name = c.names[-1].copy()  # "limited abduction of the left eye": of that side
        name.side = sides.pop()
        c.names = (*c.names[:-1], name)
    if any(r.kind == "direction" for r in item.readings):
        c.pprep = ""
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    return c


def _of_other_tests(types: Types, c: Claim, item: Item) -> bool:
    """A detail of tests that are not spoken of, in a word that says something else as well: "jaw
    jerk" speaks of no jerk of the eyes."""
    found = item.of_kind("detail")
    if len(item.roles) == 1 or not c.names or not found or not all(r.test for r in found):
        return False
    if len(found) < len(item.of_kind("detail", "quality", "doubt", "direction")):
        return False
    named = 0
    for name in c.names:
        named |= name.mask(types)
    return bool(named) and not named & types.of({r.test for r in found if r.test})


def _of_these_alone(types: Types, c: Claim, item: Item) -> bool:
    """A detail of the tests named, which as a value is none of theirs ("dysmetric irregularly")."""
    if not c.names or set(item.roles) - {"DETAIL", "VALUE"}:
        return False
    named = 0
    for name in c.names:
        named |= name.tests
    own = types.of({r.test for r in item.of_kind("detail") if r.test})
    return bool(named) and not named & ~own and not named & types.value(item)


def announces(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The examination shows ...": what follows is what was found."""
    c.announced = True
    return c


def rest(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The rest of": what follows speaks of what was not named."""
    if c.mode == "NV" and any(n.sites for n in (*c.names, *c.places)):
        return None
    if c.mode == "N" and c.sep == "comma":
        return None  # "reduced at C7, otherwise intact": it begins what comes
    if c.mode == "NV":
        c.last = "rest"
    c.rest = True
    if c.start < 0:
        c.start = item.start
    return c


def repeat(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "The same": the last run once more."""
    if item.text in types.so_too and c.mode != "S":
        return None
    c.repeat = True
    if item.text in types.so_too:
        c.start, c.end, c.sep = item.start, item.end, ""
        return c  # "and so was pinprick": what it is said of comes next
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


def there(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Touch is normal there": where it was found is what was named before."""
    if c.places or any(n.sites for n in c.names) or (c.mode == "S" and not c.names):
        return None
    c.there = True
    c.end = item.end
    return c


def those(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "Both of those", "the same four": what is said is said of what was named before."""
    if c.those is not None or (c.names and not all(n.tests for n in c.names)):
        return None
    c.those = item
    c.pprep = ""
    if c.start < 0:
        c.start = item.start
    c.end = item.end
    c.sep = ""
    if c.mode == "S":
        c.mode, c.last = "N", "those"
    return c


def section(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """The name of a section that is no test."""
    c.sections = (*c.sections, item.of_kind("section")[0].id)
    begin(c, item)
    c.mode = "N"
    c.last = "section"
    return c


def fix(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A correction opens."""
    if "DENY" in item.roles:
        c.cost += 0.8
    if c.pneg is not None and c.pneg[1] == item.start:
        c.pneg = None  # "no, hang on": a denial that opens a correction denies nothing
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
    if item.text in types.copula:
        c.is_so = True
    c.meant = c.meant or item.text in types.meant
    return c


def filler(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A value word that is a filler where a clause begins ("well, ...")."""
    if c.mode == "N" and c.sep == "comma":
        c.hesitant = True  # "and the glabellar tap, well."
    if c.mode == "NV" and c.sep == "comma":
        c.cost += 0.5  # "reduced at the toes, fine at the ankles": rather the value of what comes
    return c if c.mode == "S" or c.sep else None


def hesitates(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """ "um" where a value should come."""
    c.hesitant = True
    return c
