"""The pieces of a sentence find each other.

Targets wait for the value that follows them, a value said first takes the targets after it, a
value alone goes on with the targets before it, and a negation goes on over a list.
"""

from __future__ import annotations

from dictate.interpret.statement import Span, Statement


def join_pieces(pieces: list[Statement]) -> list[Statement]:
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
        if piece.lone_side and not piece.repeat and not strong and _ends_with_side(out, pieces, i):
            out[-1].side, out[-1].side_placed = piece.side, piece.side_placed
            _absorb(out[-1], piece)
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
        elif alone and pending and not strong and not _other_side(pending, piece):
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


def _ends_with_side(out: list[Statement], pieces: list[Statement], i: int) -> bool:
    """ "hip flexion four on the, um, left": a side alone at the end is that of the last item."""
    if i + 1 < len(pieces) or not out or pieces[i].sections or pieces[i].link == "and":
        return False
    last = out[-1]
    unsided = last.side is None and all(target.side is None for target in last.targets)
    return bool(last.targets) and last.has_value and unsided


def _other_side(pending: list[Statement], piece: Statement) -> bool:
    """ "the right toe, left is down": what is said of one side is no value of the other."""
    sides = {target.side for earlier in pending for target in earlier.targets} - {None}
    return piece.side in {"right", "left"} and bool(sides) and piece.side not in sides


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
