"""A row of items to statements, by rules that compose.

A sentence falls into chunks at its commas and joining words, a chunk into pieces where an
unpunctuated stretch holds several statements ("right biceps two plus left deltoid four"). Then
pieces find each other: targets wait for the value that follows them, a value said first takes the
targets after it, a value alone goes on with the targets before it.
"""

from __future__ import annotations

from dictate.interpret.items import Item
from dictate.interpret.statement import Said, Span, Statement, Target

_BREAKS = {"comma", "and", "but", "except", "colon", "stop", "replace", "take_back"}
_QUIET = {"glue", "place", "degree", "quality", "edge", "rest", "pseudo", "reason", "repeat"}
_CONTENT = {
    "target",
    "edge_site",
    "value",
    "grade",
    "side",
    "deny",
    "denied",
    "not_tested",
    "unable",
}


def statements_of(row: list[Item]) -> list[Statement]:
    """The statements of one sentence, in order."""
    pieces: list[Statement] = []
    link = "start"
    for link, chunk in _chunks(row):
        goes_on = bool(pieces) and link == "and"
        made = [
            piece for run in _runs(chunk, goes_on) for piece in [_piece(run)] if piece is not None
        ]
        for i, piece in enumerate(made):
            piece.alternative = link == "or" and i == 0
            if piece.link != "heading":
                piece.link = "and" if i or link == "or" else link
            pieces.append(piece)
    return _joined(pieces)


def _chunks(row: list[Item]) -> list[tuple[str, list[Item]]]:
    """Cut at breaks; the strongest break before a chunk is its link."""
    rank = {
        "comma": 0,
        "and": 1,
        "or": 1,
        "stop": 2,
        "colon": 2,
        "but": 3,
        "replace": 4,
        "take_back": 5,
        "except": 5,
    }
    chunks: list[tuple[str, list[Item]]] = []
    link, chunk = "start", []
    for item in row:
        if item.kind not in _BREAKS or (item.kind == "and" and item.others & {"take"}):
            chunk.append(item)
            continue
        if chunk:
            chunks.append((link, chunk))
            link, chunk = item.kind, []
        elif link == "start" or rank[item.kind] > rank.get(link, -1):
            link = item.kind
        if "either" in item.others:
            link = "or"
        if item.kind == "colon" and chunks and not any(c for c in chunk):
            chunks[-1] = (chunks[-1][0], [*chunks[-1][1], item])
    if chunk:
        chunks.append((link, chunk))
    return chunks


def _runs(chunk: list[Item], goes_on: bool = False) -> list[list[Item]]:
    """Cut a chunk without punctuation where one statement ends and the next begins."""
    last = next(
        (
            item.kind
            for item in reversed(chunk)
            if item.kind in {"side", "target", "edge_site", "value", "grade"}
        ),
        "",
    )
    kinds = [item.kind for item in chunk if item.kind in {"target", "value", "grade"}]
    bare = [
        item.kind
        for item in chunk
        if item.kind in {"value", "grade"} or (item.kind == "target" and not item.placed)
    ]
    value_first = bool(kinds) and kinds[0] != "target" and kinds[-1] == "target"
    heading_first = len(bare) > 3 and bare[0] == "target" == bare[-1] and bare[1] != "target"
    trailing = last == "side" and _side_ends_a_pair(chunk)
    leading = next((x.kind for x in chunk if x.kind in _CONTENT), "") == "side"
    odd_value = len(bare) > 2 and bare[0] != "target" and bare[-1] != "target" and goes_on
    runs: list[list[Item]] = []
    run: list[Item] = []
    seen_target = seen_value = False
    for i, item in enumerate(chunk):
        starts = False
        had = seen_target or (bool(runs) and not value_first) or odd_value
        if item.kind in {"target", "deny"} and seen_value and had:
            placed = item.placed and item.kind == "target"
            starts = not placed and not ((value_first or heading_first) and item.kind == "target")
            starts = starts and not _site_of_sign(run, item) and _stands_alone(chunk, i, run)
            starts = starts and not _completes(run, item)
            if item.kind == "deny" and _denies_value(chunk, i):
                starts = False
        elif _is_part(chunk, i):
            starts = False
        elif item.kind in {"value", "grade"} and seen_value and seen_target:
            starts = not _beside_value(run) and not _confirms_denial(run, item)
            starts = starts and not (item.kind == "grade" and _only_signs(run))
        elif item.kind == "value" and seen_target and _contrasts(chunk, i, run):
            starts = True
        elif item.kind == "side" and seen_value and leading and item.placed:
            starts = _next_kind(chunk, i) == "target" and not _placed_next(chunk, i)
        elif item.kind == "side" and seen_value and not item.placed and not trailing:
            starts = _opens_next(chunk, i, run)
        if starts:
            cut = _back_to_side(run) if item.kind == "target" else len(run)
            while cut and cut == len(run) and run[cut - 1].kind == "deny":
                cut -= 1
            runs.append(run[:cut])
            run = run[cut:]
            seen_target = seen_value = False
        run.append(item)
        seen_target = seen_target or item.kind in {"target", "edge_site"}
        said = item.kind in {"value", "grade", "deny", "denied", "not_tested"}
        seen_value = seen_value or (said and not _is_part(chunk, i))
        if item.kind == "target" and item.of_kind("sign"):
            seen_value = True
    runs.append(run)
    return [run for run in runs if run]


def _completes(run: list[Item], item: Item) -> bool:
    """ "no ankle clonus": a test right after its bare site is one target with it."""
    last = next((x for x in reversed(run) if x.kind in _CONTENT), None)
    if last is None or last.kind != "target" or not last.of_kind("site") or last.placed:
        return False
    if any(x is not last and x.of_kind("test", "after_site", "sign") for x in run):
        return False
    own = last.of_kind("test", "after_site", "sign")
    return not own and bool(item.of_kind("test", "after_site", "sign"))


def _confirms_denial(run: list[Item], item: Item) -> bool:
    """ "no drift is seen": the word only confirms what the negation says."""
    said = {reading.id for reading in item.of_kind("value") if not reading.test}
    return "present" in said and any(x.kind == "deny" for x in run)


def _only_signs(run: list[Item]) -> bool:
    """So far only a word such as "weakness" spoke a value; its grade may follow."""
    return not any(x.kind in {"value", "grade", "deny", "denied", "not_tested"} for x in run)


def _contrasts(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "ptosis on the left, none on the right": a sign with a side, then its absence elsewhere."""
    absent = any(r.id == "absent" and not r.test for r in chunk[i].of_kind("value"))
    sign = any(r.id for x in run for r in x.of_kind("test")) and any(x.kind == "side" for x in run)
    return absent and sign and _next_kind(chunk, i) == "side"


def _opens_next(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """A side after a value opens the next statement if that one is complete."""
    for j in range(i + 1, len(chunk)):
        if chunk[j].kind in _CONTENT:
            if chunk[j].kind == "target":
                return _stands_alone(chunk, j, run)
            return chunk[j].kind in {"grade", "value"}
    return False


def _placed_next(chunk: list[Item], i: int) -> bool:
    """The next target is where ("in both hands"), not a new item."""
    return next((x.placed for x in chunk[i + 1 :] if x.kind == "target"), False)


def _is_part(chunk: list[Item], i: int) -> bool:
    """A number right after the name of a part ("E4")."""
    return chunk[i].kind == "grade" and i > 0 and bool(chunk[i - 1].of_kind("part"))


def _stands_alone(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """A bare site with nothing said of it after it belongs to what was said before it."""
    item = chunk[i]
    if item.of_kind("test", "after_site", "sign") and not item.of_kind("site"):
        return True
    own = {r.test for x in run for r in x.of_kind("test", "sign")}
    if any(r.test and r.test in own for r in item.of_kind("site")):
        return False
    later = {x.kind for x in chunk[i + 1 :]} | {"sign" for x in chunk[i + 1 :] if x.of_kind("sign")}
    named = any(x.of_kind("test", "after_site") for x in chunk[i + 1 :])
    return (
        bool(later & {"value", "grade", "deny", "denied", "not_tested", "unable", "sign"}) or named
    )


def _site_of_sign(run: list[Item], item: Item) -> bool:
    """ "oriented times three": a bare site right after a word that names test and value."""
    last = next((x for x in reversed(run) if x.kind in _CONTENT), None)
    names = item.of_kind("test", "after_site", "sign")
    return bool(
        last is not None and last.of_kind("sign") and not last.of_kind("site") and not names
    )


def _side_ends_a_pair(chunk: list[Item]) -> bool:
    """The first target has no side before it, so sides follow their values."""
    for item in chunk:
        if item.kind == "side":
            return False
        if item.kind in {"value", "grade"}:
            return True
    return False


def _next_kind(chunk: list[Item], i: int) -> str:
    return next((item.kind for item in chunk[i + 1 :] if item.kind in _CONTENT), "")


def _denies_value(chunk: list[Item], i: int) -> bool:
    return _next_kind(chunk, i) in {"value", "grade"}


def _beside_value(run: list[Item]) -> bool:
    """The last thing said was a value, so this is one more word of the same."""
    for item in reversed(run):
        if item.kind in {"value", "grade", "deny", "both_after"} or item.of_kind("sign"):
            return True
        if item.kind in {"target", "side", "edge_site"}:
            return False
    return False


def _back_to_side(run: list[Item]) -> int:
    """An unplaced side right before a new target goes with it."""
    for i in range(len(run) - 1, -1, -1):
        if run[i].kind == "side" and not run[i].placed:
            return i
        if run[i].kind not in _QUIET:
            break
    return len(run)


def _piece(run: list[Item]) -> Statement | None:
    """One piece: its targets, values and qualifiers."""
    piece = Statement()
    pending_side: Item | None = None
    negate = False
    for i, item in enumerate(run):
        span = (item.start, item.end)
        kind = item.kind
        if kind in {"target", "edge_site"}:
            odd = run[i - 1].text if i and run[i - 1].kind == "unknown" else ""
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
            negate = False
        elif kind in {"deny", "denied"}:
            negate = kind == "deny" and _denies_value(run, i)
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
    _limb_heads(piece)
    _limb_where(piece)
    if piece.denied and any(_modifies(run, i) for i in range(len(run) - 1)):
        piece.unclear = True
    if piece.side and any(t.side not in (None, piece.side) for t in piece.targets):
        piece.unclear = True
    piece.lone_side = bool(piece.side) and not piece.targets and not piece.has_value
    kept = piece.unknown or piece.doubts or piece.talk or piece.hesitant
    return None if piece.empty and not kept else piece


def _modifies(run: list[Item], i: int) -> bool:
    """ "no abdominal pain": a word nobody knows right after the name is what was denied."""
    return run[i].kind == "target" and run[i + 1].kind == "unknown"


def _limb_where(piece: Statement) -> None:
    """ "grip five in both hands": a limb after muscles says the side and is no item itself."""
    if len(piece.targets) < 2:
        return
    limb, others = piece.targets[-1], piece.targets[:-1]
    is_limb = any(r.group == "limb" for r in limb.sites) and not (limb.tests or limb.signs)
    muscles = all(t.sites and not any(r.group == "limb" for r in t.sites) for t in others)
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
    is_limb = any(r.group == "limb" for r in limb.sites) and not (limb.tests or limb.signs)
    muscles = all(t.sites and not any(r.group == "limb" for r in t.sites) for t in others)
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
        if item.kind in _CONTENT:
            return False
    return False


def _leads(run: list[Item], i: int) -> bool:
    """A side leads when a target stands right after it, with no "at" or "in" between."""
    between = False
    for item in run[i + 1 :]:
        between = between or item.kind in {"place", "edge"} or "place" in item.others
        if item.kind in {"target", "edge_site"}:
            return not between or not any(x.kind == "target" for x in run[:i])
        if item.kind == "unknown" or item.kind not in _QUIET | {"unknown"}:
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
    readings = tuple(item.of_kind("value", "grade_word"))
    if item.of_kind("detail"):
        piece.details.append(span)
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
    target.values = item.of_kind("value")
    if item.of_kind("detail"):
        piece.details.append(span)
    target.sign_first = bool(target.signs and not target.sites)
    target.dual = bool(target.sites and (target.tests or target.signs))
    target.side = next((r.side for r in item.of_kind("site") if r.side), None)
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
        last.sites = new.sites
        last.placed = last.placed or new.placed
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
        piece.labels.append((item.readings[0], span))
        piece.details.append(span)
    elif kind in {"degree", "quality", "pseudo", "direction"}:
        piece.details.append(span)
    elif kind == "compare":
        piece.compared.append(span)
        piece.details.append(span)
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
    elif kind == "unknown":
        piece.unknown.append(span)
        piece.lost_place = piece.lost_place or item.placed
    elif kind == "talk" or item.others & {"own"}:
        piece.talk = True


def _joined(pieces: list[Statement]) -> list[Statement]:
    """Let the pieces of a sentence find each other."""
    out: list[Statement] = []
    pending: list[Statement] = []
    leading: Statement | None = None
    led: list[Statement] = []
    doubted: list[Span] = []
    for i, piece in enumerate(pieces):
        if piece.empty and piece.hesitant and (pending or out):
            (pending or out)[-1].hesitant = True
            continue
        strong = piece.link in {"but", "except", "replace", "take_back"}
        if leading is not None and piece.targets and piece.targets[0].side is None:
            piece.targets[0].side = leading.side
            piece.targets[0].spans[:0] = leading.spans
            leading = None
        if piece.lone_side and not piece.repeat and not piece.sections:
            follows = pieces[i + 1] if i + 1 < len(pieces) else None
            if follows is not None and follows.repeat and not follows.targets and not follows.side:
                follows.side, follows.spans = piece.side, [*piece.spans, *follows.spans]
                follows.link = piece.link
                continue
            if i == 0 and (piece.side_placed or piece.link == "heading"):
                piece.link = "heading"
                out.append(piece)
                continue
            follows = pieces[i + 1] if i + 1 < len(pieces) else None
            if (
                follows is not None
                and follows.targets
                and follows.targets[0].side is None
                and follows.link != "except"
            ):
                leading = piece
                continue
        if led and piece.targets and piece.value_first:
            piece.values[:0] = [value for earlier in led for value in earlier.values]
            for earlier in led:
                _absorb(piece, earlier)
            led = []
        elif led:
            out.extend(led)
            led = []
        if (
            piece.values
            and not piece.targets
            and not out
            and not pending
            and _leads_values(pieces, i)
        ):
            led.append(piece)
            continue
        if piece.empty and piece.unknown and out and out[-1].denied and not out[-1].targets:
            continue  # "denied fever, chills, ...": the denial goes on over words nobody knows
        piece.doubts, doubted = [*doubted, *piece.doubts], []
        if piece.doubts and not piece.targets and not (out or pending):
            doubted = list(piece.doubts)
        if piece.empty and piece.doubts and (out or pending):
            (pending or out)[-1].doubts.extend(piece.doubts)
            continue
        if i == 0 and _opens_place(piece, pieces):
            piece.link = "heading"
        if out and not pending and not strong:
            _carry_denial(out[-1], piece, pieces[i:])
            if _place_of_equal(out[-1], piece):
                continue
        waits = piece.targets and not piece.has_value
        alone = piece.has_value and not piece.targets
        if alone and not strong and out and not pending and _one_more_word(out[-1], piece):
            _absorb(out[-1], piece, values=True)
            continue
        if waits and not strong and _takes_list(out, piece, pieces, i) and not pending:
            for target in piece.targets:
                target.placed = True
            out[-1].targets.extend(piece.targets)
            _absorb(out[-1], piece)
        elif piece.link == "heading" and piece.targets and pending:
            piece.targets[:0] = [target for earlier in pending for target in earlier.targets]
            pending = []
            out.append(piece)
        elif waits and not _closes(piece):
            if piece.link in {"replace", "take_back"} and pending:
                pending, piece.link = [], "start"  # corrected before its value was said
            pending.append(piece)
        elif _claims(piece) and pending and not strong:
            for earlier in reversed(pending):
                piece.targets[:0] = earlier.targets
                _absorb(piece, earlier)
            piece.link, pending = pending[0].link, []
            out.append(piece)
        elif alone and pending and not strong:
            first = pending[0]
            for earlier in pending[1:]:
                first.targets.extend(earlier.targets)
                _absorb(first, earlier)
            _absorb(first, piece, values=True)
            pending = []
            out.append(first)
        else:
            out.extend(pending)
            pending = []
            if alone and out and not piece.repeat and piece.link not in {"replace", "take_back"}:
                piece.copied = True
            out.append(piece)
    made = [*out, *pending]
    for piece in made:
        _last_side_for_all(piece)
        _carry_sides(piece)
    return made


def _carry_sides(piece: Statement) -> None:
    """ "the right knee and ankle": a side on one item holds for the rest of the list."""
    carried: str | None = None
    for target in piece.targets:
        carried = target.side or carried
        if target.side is None:
            target.carried = carried


def _last_side_for_all(piece: Statement) -> None:
    """ "C5 and C6 on the right": a side after the last of a list is the side of the list."""
    last = piece.targets[-1] if piece.targets else None
    if last is None or not last.side_after or piece.side is not None:
        return
    if len(piece.targets) > 1 and all(target.side is None for target in piece.targets[:-1]):
        piece.side = last.side


def _opens_place(piece: Statement, pieces: list[Statement]) -> bool:
    """ "In the legs, hip flexion four": a limb in front is where, not one more item."""
    if len(pieces) < 2 or pieces[1].link != "comma" or piece.has_value or not piece.targets:
        return False
    limbs = all(
        t.placed and any(r.group == "limb" for r in t.sites) and not t.tests for t in piece.targets
    )
    return limbs and bool(pieces[1].targets)


def _carry_denial(last: Statement, piece: Statement, rest: list[Statement]) -> None:
    """ "no weakness, atrophy or numbness": a negation covers the signs that follow it in a list."""
    signs = any(target.signs for target in piece.targets)
    plain = not piece.values and not piece.denied and not piece.not_done and not piece.copied
    listed = piece.value_first and piece.values and piece.targets and piece.alternative
    if not last.denied or not (last.value_first or last.unknown or not last.targets):
        return
    if listed and all(value.grade is None for value in piece.values):
        piece.denied = piece.value_first = True
    elif signs and plain:
        sided = piece.side or any(target.side for target in piece.targets)
        ends_in_or = any(later.alternative for later in rest)
        piece.denied = piece.value_first = True
        piece.unclear = bool(sided) and not ends_in_or


def _place_of_equal(last: Statement, piece: Statement) -> bool:
    """ "5/5 and equal in both legs": where, said after "equal" of the statement before."""
    sites_only = piece.targets and not any(t.tests or t.signs for t in piece.targets)
    if not (sites_only and piece.symmetric and last.values and not piece.labels):
        return False
    if any(t.placed or t.sites for t in last.targets) or len(piece.values) != 1:
        return False
    for target in piece.targets:
        target.placed = True
    last.targets.extend(piece.targets)
    last.both_after = True
    piece.symmetric = False
    _absorb(last, piece)
    return True


def _leads_values(pieces: list[Statement], i: int) -> bool:
    """ "broad-based, spastic gait": a value word alone before a value that has its target."""
    follows = pieces[i + 1] if i + 1 < len(pieces) else None
    words = all(value.grade is None for value in pieces[i].values)
    plain = not pieces[i].side and not pieces[i].denied and not pieces[i].labels
    return bool(follows and follows.targets and follows.value_first and words and plain)


def _one_more_word(last: Statement, piece: Statement) -> bool:
    """ "equal, round and reactive", "fourteen: eyes four": more of the same statement."""
    if piece.parts and not piece.values:
        return True
    if not last.values or last.denied or piece.denied or piece.not_done:
        return False
    if piece.side and (last.side or any(target.side for target in last.targets)):
        return False
    if piece.side and any(value.grade for value in [*piece.values, *last.values]):
        return False
    turned = any(reading.kind == "direction" for reading, _ in piece.labels)
    if turned or piece.doubts or piece.repeat or piece.compared:
        return False
    return last.link != "heading"


def _claims(piece: Statement) -> bool:
    """A value after its targets holds for the targets before them as well."""
    if not (piece.has_value and piece.targets):
        return False
    return not piece.value_first and not piece.targets[0].sign_first


def _closes(piece: Statement) -> bool:
    """A heading by its colon, or a sign named with its kind, does not wait for a value."""
    named = all(target.tests and all(r.id for r in target.tests) for target in piece.targets)
    sided = any(target.side for target in piece.targets)
    return piece.link == "heading" or piece.repeat or (named and bool(piece.labels or sided))


def _takes_list(out: list[Statement], piece: Statement, pieces: list[Statement], i: int) -> bool:
    """A value said first goes on over the list after it, unless a later value claims the items."""
    if not out or out[-1].copied or not out[-1].targets or not out[-1].has_value:
        return False
    last = out[-1].targets[-1]
    tests_only = all((t.tests and not t.sites) for t in piece.targets)
    sites_only = not any(t.tests or t.signs for t in piece.targets)
    sites_go_on = last.placed and (sites_only or (tests_only and bool(last.tests)))
    spoken = {r.test for t in out[-1].targets for r in t.tests}
    again = any(r.test in spoken for t in piece.targets for r in t.tests if not t.dual)
    if out[-1].denied and again:
        return False
    if not (out[-1].value_first or out[-1].not_done or sites_go_on):
        return False
    named = all(reading.id for target in piece.targets for reading in target.tests)
    if out[-1].denied and not (named or piece.alternative):
        return False
    for later in pieces[i + 1 :]:
        if later.link in {"but", "except", "replace", "take_back", "stop", "colon"}:
            break
        if later.has_value:
            if later.targets and (later.value_first or later.targets[0].sign_first):
                break
            return _deniable(out[-1], piece)
    return True


def _deniable(first: Statement, piece: Statement) -> bool:
    """In "no drift, tremor, tone normal" the signs go with the negation."""
    named = [reading for target in piece.targets for reading in target.tests]
    return first.denied and bool(named) and not any(t.sites for t in piece.targets)


def _absorb(into: Statement, piece: Statement, values: bool = False) -> None:
    into.spans.extend(piece.spans)
    for name in (
        "details",
        "labels",
        "doubts",
        "reasons",
        "compared",
        "unknown",
        "sections",
        "parts",
    ):
        getattr(into, name).extend(getattr(piece, name))
    into.both_after = into.both_after or piece.both_after
    into.rest = into.rest or piece.rest
    into.talk = into.talk or piece.talk
    into.hesitant = into.hesitant or piece.hesitant
    into.lost_place = into.lost_place or piece.lost_place
    if piece.side is not None and into.side is None:
        into.side, into.side_placed = piece.side, piece.side_placed
    if values:
        into.values.extend(piece.values)
        into.denied = into.denied or piece.denied
        into.not_done = into.not_done or piece.not_done
        into.symmetric = into.symmetric or piece.symmetric
