"""One more word of the same statement: pieces that belong to the piece before them."""

from __future__ import annotations

from dictate.grammar.names import WHOLE
from dictate.interpret.statement import Said, Statement


def only_qualifies(piece: Statement) -> bool:
    """ "..., three beats", "... with giveaway": nothing but details of what was said before."""
    told = bool(piece.details or piece.reasons)
    return told and not (piece.unknown or piece.doubts or piece.talk)


def qualify(last: Statement, piece: Statement) -> None:
    """ "brisk, right more than left", "clonus, ten beats": kept with what it was said of."""
    absorb(last, piece)


def as_value(piece: Statement) -> None:
    """ "Biceps and triceps were full strength": words that name a test are the value of sites."""
    if piece.values or not piece.targets:
        return
    if all(t.signs and t.values and not (t.sites or t.tests) for t in piece.targets):
        for target in piece.targets:
            piece.values.append(Said(readings=tuple(target.values), spans=list(target.spans)))
        piece.targets = []


def grade_of_sign(last: Statement, piece: Statement) -> bool:
    """ "Left hemiparesis, 4+/5 throughout": the grade of the sign before it, for the whole."""
    signs = bool(last.targets) and all(t.signs and not t.sites for t in last.targets)
    whole = all({r.id for r in t.sites} == {WHOLE} and not t.tests for t in piece.targets)
    graded = bool(piece.values) and all(value.grade is not None for value in piece.values)
    return signs and whole and graded and not (last.values or last.denied or piece.side)


def grade_of_equal(last: Statement, piece: Statement) -> bool:
    """ "Reflexes are symmetric and 2+ in the arms": the grade that is symmetric, and where."""
    sites = bool(piece.targets) and not any(t.tests or t.signs for t in piece.targets)
    graded = bool(piece.values) and all(value.grade is not None for value in piece.values)
    only = last.symmetric and len(last.values) == 1 and not last.denied
    bare = bool(last.targets) and not any(t.sites for t in last.targets)
    return sites and graded and only and bare and not (last.side or piece.denied)


def place_of_equal(last: Statement, piece: Statement) -> bool:
    """ "5/5 and equal in both legs": where, said after "equal" of the statement before."""
    sites_only = piece.targets and not any(t.tests or t.signs for t in piece.targets)
    if not (sites_only and piece.symmetric and last.values and not piece.labels):
        return False
    if any(t.placed or t.sites for t in last.targets) or len(piece.values) != 1:
        return False
    for target in piece.targets:
        target.placed = True
    last.targets.extend(piece.targets)
    last.both_after, last.copied = True, False
    piece.symmetric = False
    absorb(last, piece)
    return True


def of_unknown(piece: Statement) -> bool:
    """ "Delt 5/5, Foo 4/5": a grade right after a word nobody knows is of that word.

    So is a value word with a side ("hearing reduced on the left, Foo positive on both sides").
    """
    placed = piece.side is not None and not piece.targets and piece.strange_name
    said = [v for v in piece.values if v.spans and (v.grade is not None or placed)]
    return any(word[1] == value.spans[0][0] for value in said for word in piece.unknown)


def of_one_side(last: Statement, piece: Statement) -> bool:
    """ "Reduced in the feet, absent on the right": a value of one side of what was said of both."""
    unsided = last.side is None and all(target.side is None for target in last.targets)
    where = last.targets[-1] if last.targets and last.values else None
    if where is None or not where.sites or not unsided:
        return False
    said = [span for value in last.values for span in value.spans]
    if not said or not where.spans:
        return False
    before = max(where.spans) < min(said)
    led = where.placed and min(where.spans)[0] > max(said)[1]  # "in the" stands between
    return (before or led) and piece.side in {"right", "left"} and piece.link in {"and", "comma"}


def _of_its_own_condition(last: Statement, piece: Statement) -> bool:
    """ "Five at first, four minus after repetition": a second value, and what tells it apart."""
    if not last.values or len(piece.values) != 1:
        return False
    own = {span for value in piece.values for span in value.spans}  # "ataxic" is both at once
    return any(
        reading.kind == "detail"
        and span not in own
        and all(_may_be_of(value, reading.test) for value in (*last.values, *piece.values))
        for reading, span in piece.labels
    )


def _may_be_of(value: Said, test: str) -> bool:
    return value.grade is not None or any(r.test in ("", test) for r in value.readings)


def one_more_word(last: Statement, piece: Statement) -> bool:
    """ "equal, round and reactive", "fourteen: eyes four": more of the same statement."""
    other = of_unknown(piece) and not piece.talk
    if _of_its_own_condition(last, piece) or piece.part or other or (piece.rest and not last.rest):
        return False  # "3/5 proximally, 2/5 distally", "grip four, otherwise five"
    if piece.parts and not piece.values:
        return True
    if not last.values or last.denied or piece.denied or piece.not_done:
        return False
    if piece.side and (last.side or any(target.side for target in last.targets)):
        return False
    equal = piece.symmetric and len(piece.values) == 1 and last.side in {None, "both"}
    if piece.side and any(value.grade for value in [*piece.values, *last.values]):
        return equal and piece.side == "both"
    turned = any(reading.kind == "direction" for reading, _ in piece.labels)
    if turned or piece.doubts or piece.repeat or piece.compared:
        return False
    return last.link != "heading"


def absorb(into: Statement, piece: Statement, values: bool = False) -> None:
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
    into.owners.update(piece.owners)
    into.both_after = into.both_after or piece.both_after
    into.both_compared = into.both_compared or piece.both_compared
    into.rest = into.rest or piece.rest
    into.part = into.part or piece.part
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
