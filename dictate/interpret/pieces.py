"""One run of items to a piece of a statement: its targets, values, side and qualifiers."""

from __future__ import annotations

from dictate.grammar.names import WHOLE
from dictate.interpret.items import Item
from dictate.interpret.qualifiers import BOTH_COMPARED
from dictate.interpret.runs import CONTENT, QUIET, denies_value
from dictate.interpret.statement import Said, Span, Statement, Target
from dictate.interpret.within import limb_of_test


def read_piece(run: list[Item]) -> Statement | None:
    """One piece: its targets, values and qualifiers."""
    piece = Statement()
    piece.opens_place = bool(run) and (run[0].kind == "place" or "place" in run[0].others)
    pending_side: Item | None = None
    negate = unmoved = False
    for i, item in enumerate(run):
        span = (item.start, item.end)
        kind = item.kind
        if kind in {"target", "edge_site"}:
            odd = run[i - 1].text if i and run[i - 1].kind == "unknown" else ""
            piece.states = piece.states or "states" in item.others
            piece.well = piece.well or "well" in item.others
            _add_target(piece, item, pending_side, odd)
            pending_side = None
        elif kind == "side":
            if _leads(run, i):
                pending_side = item
            else:
                piece.lost_place = piece.lost_place or "in_place" in item.others
                _trail_side(piece, item)
        elif kind == "grade" and item.grade and i and run[i - 1].of_kind("part"):
            piece.parts.append((run[i - 1].of_kind("part")[0], item.grade))
            piece.spans.extend([(run[i - 1].start, run[i - 1].end), span])
        elif kind in {"value", "grade"}:
            _add_value(piece, item, negate)
            piece.every = piece.every or (i > 0 and "every" in run[i - 1].others)
            if piece.values:
                piece.values[-1].unmoved = negate and unmoved
            if piece.denied and piece.value_first and piece.targets and not negate:
                piece.unmoved = True  # "I don't find the tone increased": what it is was not said
            negate = False
        elif kind in {"deny", "denied"}:
            piece.sought = piece.sought or "sought" in item.others
            unmoved = "unmoved" in item.others
            piece.unmoved = piece.unmoved or unmoved
            negate = kind == "deny" and denies_value(run, i)
            piece.unclear = piece.unclear or (kind == "deny" and _denies_unknown(run, i))
            if not negate:
                piece.denied = True
            piece.spans.append(span)
        else:
            _qualify(piece, item, span)
        if kind in {"value", "grade", "deny"} and not piece.targets:
            piece.value_first = True
    if pending_side is not None:
        _trail_side(piece, pending_side)
    _values_of_sites(piece)
    _whole_of_limb(piece)
    _limb_heads(piece)
    limb_of_test(piece)
    _limb_where(piece)
    if piece.denied and any(_modifies(run, i) for i in range(len(run) - 1)):
        piece.unclear = True
    if piece.denied and any(_denies_manner(run, i, piece) for i in range(len(run) - 1)):
        piece.unclear = True
    if piece.unknown and piece.values:
        piece.strange_name = any(_may_be_name(run, i) for i in range(len(run) - 1))
    if piece.part and piece.values and _only_muscles(piece):
        piece.unclear = True  # "hamstrings four distally": of these, or of the rest of the limb
    if piece.side and any(t.side not in (None, piece.side) for t in piece.targets):
        piece.unclear = True
    piece.lone_side = bool(piece.side) and not piece.targets and not piece.has_value
    ends = next((item for item in reversed(run) if item.kind not in {"stop", "comma"}), None)
    also = ends is not None and len(run) > 1 and "also" in ends.others
    piece.too = also and bool(piece.targets) and not piece.has_value
    kept = piece.unknown or piece.doubts or piece.talk or piece.hesitant or piece.details
    kept = kept or piece.reasons
    return None if piece.empty and not kept else piece


def _denies_manner(run: list[Item], i: int, piece: Statement) -> bool:
    """ "Reduced to touch, not to pin": what is denied is the value before it, not this test."""
    after = run[i + 1]
    leads = run[i].kind == "deny" and (after.kind == "edge" or "before_side" in after.others)
    names = [
        target for target in piece.targets if target.tests and not any(r.id for r in target.tests)
    ]
    bare = [target for target in names if not (target.sites or target.signs)]
    return leads and not piece.values and 0 < len(bare) == len(piece.targets)


def _may_be_name(run: list[Item], i: int) -> bool:
    """A word that nobody knows right before a value; "curiously normal" only says how."""
    return (
        run[i].kind == "unknown" and run[i + 1].kind == "value" and not run[i].text.endswith("ly")
    )


def _only_muscles(piece: Statement) -> bool:
    groups = [{reading.group for reading in target.sites} for target in piece.targets]
    named = any(target.tests or target.signs for target in piece.targets)
    return bool(groups) and not named and all("muscle" in g and "limb" not in g for g in groups)


def _modifies(run: list[Item], i: int) -> bool:
    """ "no abdominal pain": a word nobody knows right after the name is what was denied."""
    return run[i].kind == "target" and run[i + 1].kind == "unknown"


def _values_of_sites(piece: Statement) -> None:
    """ "biceps is full strength": a word that names test and value is here the value of a site."""
    places = [t for t in piece.targets if t.sites and not (t.tests or t.signs)]
    for target in [t for t in piece.targets if t.signs and t.values and not (t.sites or t.tests)]:
        if not piece.values and any(min(t.spans) < min(target.spans) for t in places):
            piece.targets.remove(target)
            piece.values.append(Said(readings=tuple(target.values), spans=list(target.spans)))


def _whole_of_limb(piece: Statement) -> None:
    """ "all muscle groups of both legs", "throughout the arms": the limb is the place."""
    places = [t for t in piece.targets if t.sites]
    whole = [t for t in places if {r.id for r in t.sites} == {WHOLE}]
    if not whole or len(whole) == len(places):
        return
    if not all(_limb_or_region(t) for t in places if t not in whole):
        return
    for target in whole:
        target.sites = []
        if not (target.tests or target.signs):
            piece.targets.remove(target)
            piece.spans.extend(target.spans)


def _limb_or_region(target: Target) -> bool:
    return any(reading.group in {"limb", "region"} for reading in target.sites)


def _limb_where(piece: Statement) -> None:
    """ "grip five in both hands": a limb after muscles says the side and is no item itself."""
    if len(piece.targets) < 2:
        return
    limb, others = piece.targets[-1], piece.targets[:-1]
    is_limb = limb.on_limb and not (limb.tests or limb.signs)
    muscles = all(t.sites and not t.on_limb for t in others)
    named = any(t.tests or t.signs for t in others)
    if not is_limb or not limb.placed or not muscles or named or limb.edge:
        return
    piece.targets = others
    piece.side = piece.side or limb.side or ("both" if limb.sites[0].plural else None)
    piece.spans.extend(limb.spans)


def _limb_heads(piece: Statement) -> None:
    """ "RLE hip flexion 4": a limb before its muscles says the side and is no item itself."""
    if len(piece.targets) < 2:
        return
    limb, *others = piece.targets
    is_limb = limb.on_limb and not (limb.tests or limb.signs)
    muscles = all(t.sites and not t.on_limb for t in others)
    behind = limb.placed and (piece.values and piece.value_first)
    if not is_limb or behind or not muscles or any(t.edge for t in others):
        return
    piece.targets = others
    others[0].side = others[0].side or limb.side or ("both" if limb.sites[0].plural else None)
    others[0].spans[:0] = limb.spans


def _denies_unknown(run: list[Item], i: int) -> bool:
    """ "no allodynia to pinprick": what is denied is not the test that follows."""
    for item in run[i + 1 :]:
        if item.kind == "unknown":
            return True
        if item.kind in CONTENT:
            return False
    return False


def _leads(run: list[Item], i: int) -> bool:
    """A side leads when a target stands right after it, with no "at" or "in" between."""
    between = False
    for item in run[i + 1 :]:
        between = between or item.kind in {"place", "edge"} or "place" in item.others
        if item.kind in {"target", "edge_site"}:
            return not between or not any(x.kind == "target" for x in run[:i])
        if item.kind == "unknown" or item.kind not in QUIET | {"unknown"}:
            return False
    return False


def _trail_side(piece: Statement, item: Item) -> None:
    side = item.of_kind("side")[0].id
    if piece.targets and not piece.has_value and piece.targets[-1].side is None:
        piece.targets[-1].side = side
        piece.targets[-1].side_after = True
        piece.targets[-1].spans.append((item.start, item.end))
        piece.side_placed = piece.side_placed or item.placed
    elif piece.side is not None and {piece.side, side} == {"right", "left"}:
        piece.side = "both"
        piece.spans.append((item.start, item.end))
    else:
        piece.side = side
        piece.side_placed = item.placed
        piece.spans.append((item.start, item.end))


def _add_value(piece: Statement, item: Item, negate: bool) -> None:
    span = (item.start, item.end)
    if item.others & {"both_after"} and (piece.values or piece.denied):
        piece.both_after = True
        piece.spans.append(span)
        return
    piece.symmetric = piece.symmetric or "both_after" in item.others
    readings = tuple(item.of_kind("value", "grade_word", "trouble", "both_after"))
    if item.of_kind("detail") and not negate:
        piece.details.append(span)
        piece.owners[span] = frozenset(reading.test for reading in item.of_kind("detail"))
    if item.grade is not None and item.grade.extra is not None:
        piece.details.append(item.grade.extra)
    piece.values.append(Said(item.grade, readings, negate, [span]))


def _add_target(piece: Statement, item: Item, side: Item | None, odd: str) -> None:
    span: Span = (item.start, item.end)
    target = Target(
        tests=item.of_kind("test", "after_site"),
        sites=item.of_kind("site") if item.kind == "target" else list(item.readings),
        signs=item.of_kind("sign"),
        placed=item.placed or bool(piece.values),
        odd=odd,
        edge=item.kind == "edge_site",
        spans=[span],
    )
    target.section = bool(item.of_kind("section"))
    target.joined, target.whole = item.joined, "whole_limb" in item.others
    target.values = item.of_kind("value")
    if item.of_kind("detail"):
        piece.details.append(span)
        piece.owners[span] = frozenset(reading.test for reading in item.of_kind("detail"))
    target.sign_first = bool(target.signs and not target.sites)
    target.dual = bool(target.sites and (target.tests or target.signs))
    target.side = next((r.side for r in item.of_kind("site", "test") if r.side), None)
    if target.edge:
        piece.details.append(span)
    if side is not None:
        target.side = side.of_kind("side")[0].id
        target.spans.insert(0, (side.start, side.end))
    last = piece.targets[-1] if piece.targets else None
    apart = bool(piece.values) and bool(target.sites) and not (target.tests or target.signs)
    if last is not None and not apart and _one_target(last, target):
        _merge(last, target, item)
    else:
        piece.targets.append(target)


def _one_target(last: Target, new: Target) -> bool:
    """ "biceps jerk", "strength in both arms": a test and a site are one target."""
    if new.odd or last.dual or (new.dual and not last.sites):
        return False
    if new.dual and not any(r.kind == "after_site" for r in new.tests):
        return False
    last_test, new_test = last.tests or last.signs, new.tests or new.signs
    named = {r.test for r in last.tests}
    if new.signs and not new.sites and not last.signs and any(r.test in named for r in new.signs):
        return True
    if last_test and new_test:
        after = [r for r in new.tests if r.kind == "after_site"]
        return bool(last.sites and after) or bool(last.sites and last.tests and new.tests)
    return bool(
        (last.sites and new_test and not last_test) or (last_test and new.sites and not last.sites)
    )


def _merge(last: Target, new: Target, item: Item) -> None:
    if new.signs and not new.sites and last.tests and not last.signs:
        last.signs = new.signs
    elif last.sites and (new.tests or new.signs):
        last.tests, last.signs = new.tests, last.signs or new.signs
        plain = [r for r in new.tests if r.plural]
        if plain and any(r.kind == "after_site" for r in new.tests):
            last.both = True
    else:
        # "knows the place and the date": sites that only the sign's own test has are where it is so
        own = {r.test for r in last.signs}
        last.placed = last.placed or new.placed or all(r.test in own for r in new.sites)
        last.sites, last.whole = new.sites, new.whole
    last.values = [*last.values, *new.values]
    last.edge = last.edge or new.edge
    if new.side is not None:
        last.side = new.side
    last.spans.extend(new.spans)


def _qualify(piece: Statement, item: Item, span: Span) -> None:
    kind = item.kind
    if kind in {"not_tested", "unable"}:
        piece.not_done = kind
        piece.spans.append(span)
    elif kind == "both_after":
        piece.both_after = True
        piece.spans.append(span)
    elif kind == "because":
        piece.reasons.append(span)
    elif kind == "doubt":
        piece.doubts.append(span)
    elif kind == "detail":
        piece.labels.extend((reading, span) for reading in item.readings)
        piece.details.append(span)
    elif kind in {"degree", "quality", "pseudo", "direction"}:
        piece.details.append(span)
        piece.measured = piece.measured or item.grade is not None
        piece.part = item.text if "limb_part" in item.others else piece.part
    elif kind == "compare":
        piece.compared.append(span)
        piece.details.append(span)
        piece.both_compared = piece.both_compared or item.text == BOTH_COMPARED
    elif kind == "rest":
        piece.rest = True
        piece.details.append(span)
    elif kind == "section":
        piece.sections.append(item.readings[0].id)
        piece.spans.append(span)
    elif kind == "repeat":
        piece.repeat = True
        piece.spans.append(span)
    elif kind == "colon":
        piece.link = "heading"
    elif "hesitation" in item.others:
        piece.hesitant = True
        piece.states = piece.states or bool(piece.targets)
    elif kind == "unknown":
        piece.unknown.append(span)
        piece.lost_place = piece.lost_place or item.placed
    elif kind == "talk" or item.others & {"own"}:
        piece.talk = True
