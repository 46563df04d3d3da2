"""Where: a limb said before its list, and sites said after the value that they are the place of."""

from __future__ import annotations

from dictate.interpret.absorb import absorb, only_qualifies
from dictate.interpret.statement import Statement, Target
from dictate.model import OTHER_SIDE


def opens_place(piece: Statement, follows: Statement | None, first: bool) -> bool:
    """ "In the legs, hip flexion four", "right arm, deltoid five": where, and not one more item.

    Args:
        piece: A limb by itself.
        follows: What comes after it.
        first: Nothing stands before it.
    """
    if follows is None or follows.link != "comma" or piece.has_value or not piece.targets:
        return False
    if follows.targets and _headed(piece) and follows.has_value:
        muscles = [t for t in follows.targets if t.sites and not (t.tests or t.signs or _limb(t))]
        return len(muscles) == len(follows.targets) and not follows.value_first
    if not follows.targets or not all(_limb(target) for target in piece.targets):
        return False
    if piece.opens_place and first and all(target.placed for target in piece.targets):
        return True
    one = len(piece.targets) == 1 and not (piece.unknown or piece.doubts or piece.talk)
    sided = piece.targets[0].side in {"right", "left", "both"} or _plural(piece.targets[0])
    plain = one and sided and not (piece.repeat or piece.rest or piece.labels)
    own = follows.targets[0].side is None and not follows.value_first
    return plain and own and follows.has_value and not any(_limb(t) for t in follows.targets)


def said_again(piece: Statement, follows: Statement) -> bool:
    """ "LUE: same", "pinprick, the same": a name, and what was found is found of it too."""
    limb = bool(piece.targets) and not any(t.signs for t in piece.targets)
    plain = not (piece.has_value or piece.unknown or piece.repeat or piece.rest or piece.doubts)
    more = follows.targets or follows.has_value or follows.side or follows.unknown
    return limb and plain and follows.repeat and not more and follows.link in {"colon", "comma"}


def lend_side(limb: Statement, follows: Statement) -> None:
    """A limb that is no item itself gives its side to what follows, and how that hangs on."""
    first, where = follows.targets[0], limb.targets[0]
    first.side = first.side or where.side or ("both" if _plural(where) else None)
    first.spans[:0] = where.spans
    follows.link = limb.link


def trailing_limb(pieces: list[Statement]) -> None:
    """ "Five for hip flexion, five for knee flexion, both legs": a limb at the end says the side.

    Args:
        pieces: Those of one sentence; a limb after a list of muscles with their values becomes the
            side of the last one.
    """
    last = pieces[-1] if pieces else None
    if last is None or len(pieces) < 3 or len(last.targets) != 1 or last.link != "comma":
        return
    limb = last.targets[0]
    side = limb.side or ("both" if _plural(limb) else None)
    more = last.has_value or last.unknown or last.doubts or last.repeat or last.rest or limb.tests
    if side is None or more or not _limb(limb) or limb.signs:
        return
    for piece in pieces[:-1]:
        sided = piece.side or any(target.side for target in piece.targets)
        muscles = all(t.sites and not (t.tests or t.signs or _limb(t)) for t in piece.targets)
        if not (piece.targets and piece.values and muscles) or sided:
            return
    last.targets, last.side, last.lone_side = [], side, True
    last.spans.extend(limb.spans)


def _headed(piece: Statement) -> bool:
    """ "Power in the upper limbs": a test and a limb, and nothing said of them."""
    target = piece.targets[0]
    bare = bool(target.tests) and not target.signs and not any(r.id for r in target.tests)
    more = piece.unknown or piece.doubts or piece.talk or piece.repeat or piece.rest or piece.labels
    return len(piece.targets) == 1 and target.on_limb and bare and not more


def take_places(last: Statement | None, waiting: list[Statement]) -> bool:
    """ "Reduced on the right, V1 to V3": sites alone, right after a value that has none.

    Args:
        last: The statement before.
        waiting: Pieces of which nothing is said; they go into ``last`` where it takes them.
    """
    if last is None or not waiting or not _lacks_place(last):
        return False
    if not all(_sites_only(piece) for piece in waiting) or waiting[0].link != "comma":
        return False
    sides = {t.side for piece in waiting for t in piece.targets} | {p.side for p in waiting}
    if sides - {None} and (last.side or any(target.side for target in last.targets)):
        return False
    for piece in waiting:
        for target in piece.targets:
            target.placed = True
        last.targets.extend(piece.targets)
        absorb(last, piece)
    return True


def own_place(last: Statement | None, piece: Statement) -> bool:
    """A site that is one of no other test than the one just valued ("..., V1 to V3, ...")."""
    if last is None or not _lacks_place(last) or not _sites_only(piece):
        return False
    tests = {reading.test for target in last.targets for reading in (*target.tests, *target.signs)}
    return all(
        bool(target.sites) and all(r.test in tests for r in target.sites)
        for target in piece.targets
    )


def _lacks_place(last: Statement) -> bool:
    """A test and its value, and no site."""
    named = bool(last.targets) and all((t.tests or t.signs) and not t.sites for t in last.targets)
    done = last.has_value and not (last.copied or last.rest or last.parts)
    return named and done and last.link != "heading"


def _sites_only(piece: Statement) -> bool:
    sites = bool(piece.targets) and all(
        t.sites and (t.dual or not (t.tests or t.signs)) and not t.odd for t in piece.targets
    )
    more = piece.has_value or piece.unknown or piece.doubts or piece.talk or piece.hesitant
    return sites and not more and piece.link in {"comma", "and"} and not piece.repeat


def _limb(target: Target) -> bool:
    return target.on_limb and not target.tests


def _plural(target: Target) -> bool:
    return any(r.group == "limb" and r.plural for r in target.sites)


def late_side(pieces: list[Statement]) -> None:
    """ "Two plus on the right and one plus, pendular, on the left": the side comes later.

    Args:
        pieces: Those of one sentence. A value alone, after what was said of the other side, takes
            the side that stands after its qualifiers, or beside another word for the same.
    """
    for i in range(1, len(pieces)):
        value, before = pieces[i], _said_sides(pieces[i - 1])
        if not (_bare_value(value) and len(before) == 1):
            continue
        j = i + 1
        while j < len(pieces) and pieces[j].link == "comma" and only_qualifies(pieces[j]):
            j += 1
        late = pieces[j] if j < len(pieces) else None
        if late is None or late.targets or late.unknown or late.side not in OTHER_SIDE:
            continue
        if {OTHER_SIDE[late.side]} != before or late.link not in {"and", "comma", "but"}:
            continue
        if late.lone_side and j > i + 1:
            for piece in pieces[i + 1 : j + 1]:
                absorb(value, piece)
            value.side, value.side_placed = late.side, late.side_placed
            del pieces[i + 1 : j + 1]
            return
        words = all(said.grade is None for said in (*value.values, *late.values))
        beside = j == i + 1 and late.link == "and" and late.side_placed
        if late.values and words and beside and not (late.denied or value.denied):
            value.side, value.side_placed = late.side, late.side_placed
            return


def _said_sides(piece: Statement) -> set[str]:
    said = {piece.side, *(target.side for target in piece.targets)}
    return {side for side in said if side in OTHER_SIDE}


def _bare_value(piece: Statement) -> bool:
    """A value, and nothing that says of what or on which side."""
    plain = piece.link in {"and", "comma"} and piece.values and not piece.targets
    more = piece.side or piece.unknown or piece.doubts or piece.repeat or piece.rest
    return bool(plain) and not more and not piece.not_done
