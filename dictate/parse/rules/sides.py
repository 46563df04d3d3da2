"""Rules for sides: before and after what they are the side of."""

from __future__ import annotations

from dictate.parse.categories import Claim, Types
from dictate.parse.items import Item
from dictate.parse.rules.building import begin, side_of


def side_waits(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """A side before what it is the side of."""
    if c.pside:
        return None
    side = side_of(item)
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
    if not c.pprep or c.pside or side_of(item) is None:
        return None
    c.pprep = ""
    if c.start < 0:
        c.start = item.start
    c.pside, c.pside_span = side_of(item), (item.start, item.end)
    c.heads = True
    return c


def side_trails(types: Types, c: Claim, item: Item, role: str) -> Claim | None:
    """N, V, NV, VN: a side after what it is the side of."""
    side = side_of(item)
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
        begin(c, item)
        c.names = (*c.names[:-1], name)
        return c
    if c.last == "place" and not placed and len(c.places) > 1 and not any(p.side for p in c.places):
        row = []
        for p in c.places:
            twin = p.copy()
            twin.side = side
            row.append(twin)
        row[-1].spans = (*row[-1].spans, (item.start, item.end))
        begin(c, item)
        c.places = tuple(row)
        return c
    if c.last == "place" and not placed and c.places and not c.places[-1].side:
        name = c.places[-1].copy()
        name.side = side
        name.spans = (*name.spans, (item.start, item.end))
        begin(c, item)
        c.places = (*c.places[:-1], name)
        return c
    if c.side and c.side not in (side, "alike"):
        return None
    others = any(n.side and n.side != side for n in (*c.names, *c.places))
    if side != "both" and c.mode == "NV" and others:
        return None
    if c.side and c.side == side:
        return None
    if side == "both" and c.mode == "NV" and any(n.side == side for n in c.names):
        c.cost += 0.6  # "both legs reflexes brisk both sides": the first side is of what was before
    if side == "both" and c.mode == "NV" and others:
        c.doubts = (*c.doubts, (item.start, item.end))  # "left leg strong, five for both"
    if side == "both" and c.last == "value" and not placed and not c.sep:
        c.cost -= 0.1  # "knee flexion five both": it is rather of what it follows
    c.side_far = c.sep == "comma" or c.meant
    begin(c, item)
    alone = (
        side == "both"
        and len(item.text.split()) == 1
        and "trails" not in {r.kind for r in item.readings}
    )
    c.side, c.side_placed, c.side_cut = side, placed, placed and (not on or alone)
    c.pside_span = (item.start, item.end)
    if c.last == "value" or (placed and (alone or c.mode in ("N", "VN"))):
        c.last = "side"
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
