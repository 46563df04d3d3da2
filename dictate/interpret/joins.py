"""The pieces of a sentence find each other.

Targets wait for the value that follows them, a value said first takes the targets after it, a
value alone goes on with the targets before it, and a negation goes on over a list.
"""

from __future__ import annotations

from dictate.interpret.absorb import (
    absorb,
    as_value,
    grade_of_equal,
    grade_of_sign,
    of_one_side,
    of_unknown,
    one_more_word,
    only_qualifies,
    place_of_equal,
    qualify,
)
from dictate.interpret.bothsides import limb_closes, spread_back, takes_side
from dictate.interpret.lexicon import Reading
from dictate.interpret.lists import (
    carry_denial,
    denied_unknown,
    deny_together,
    gone_together,
    one_unknown,
    share_limb,
    share_name,
    takes_list,
    values_first,
)
from dictate.interpret.statement import Span, Statement
from dictate.interpret.wheres import (
    late_side,
    lend_side,
    opens_place,
    own_place,
    said_again,
    take_places,
    trailing_limb,
)


def join_pieces(pieces: list[Statement]) -> list[Statement]:
    """Let the pieces of a sentence find each other."""
    out: list[Statement] = []
    pending: list[Statement] = []
    leading: Statement | None = None
    led: list[Statement] = []
    doubted: list[Span] = []
    idle: list[Statement] = []
    ahead: list[Statement] = []
    gone_together(pieces)
    trailing_limb(pieces)
    late_side(pieces)
    values_first(pieces)
    for i, piece in enumerate(pieces):
        if piece.empty and piece.hesitant and (pending or out):
            (pending or out)[-1].hesitant = True
            continue
        if out and not pending and _there_is(out[-1], piece):
            piece.link = "but"
        strong = piece.link in {"but", "except", "replace", "take_back"}
        if leading is not None and piece.targets and piece.targets[0].side is None:
            piece.targets[0].side = leading.side
            piece.targets[0].spans[:0] = leading.spans
            # "right foo, power five": where it was is not known
            piece.lost_place |= bool(leading.unknown) and not piece.targets[0].sites
            leading = None
        if out and not pending and _side_of_more(out[-1], piece):
            out[-1].unclear = True
            continue
        if piece.lone_side and not piece.repeat and not piece.sections:
            follows = pieces[i + 1] if i + 1 < len(pieces) else None
            if takes_side(out, piece, follows) and _listed_before(out, pending):
                pending = []
                spread_back(out[:-1], piece.side or "")
                out[-1].side, out[-1].side_placed = piece.side, piece.side_placed
                absorb(out[-1], piece)
                continue
            if follows is not None and _of_the_side(piece, follows, i + 2 == len(pieces)):
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
            piece.unclear = piece.unclear or _either(led, piece)
            piece.values[:0] = [value for earlier in led for value in earlier.values]
            for earlier in led:
                absorb(piece, earlier)
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
        if piece.empty and piece.link == "and" and out and one_unknown(piece):
            idle.append(piece)
            continue  # one word nobody knows in a list does not end the list
        if denied_unknown(out, pending, piece):
            continue  # "denied fever, chills, ...": the denial goes on over words nobody knows
        if piece.empty and ((piece.compared and not piece.unknown) or only_qualifies(piece)):
            if out or pending:
                qualify(_beside(out, pending), piece)
            elif not piece.compared:
                ahead.append(piece)
            if out or pending or not piece.compared:
                continue
        for earlier in ahead:
            absorb(piece, earlier)
        ahead = []
        piece.doubts, doubted = [*doubted, *piece.doubts], []
        if piece.doubts and not piece.targets and not (out or pending):
            doubted = list(piece.doubts)
        if piece.empty and piece.doubts and (out or pending):
            (pending or out)[-1].doubts.extend(piece.doubts)
            continue
        follows = pieces[i + 1] if i + 1 < len(pieces) else None
        if follows is not None and not pending and said_again(piece, follows):
            follows.targets, follows.link = piece.targets, "start"
            continue
        more = bool(out) and piece.link == "and" and _at_limb(out[-1])
        if not pending and not more and opens_place(piece, follows, i == 0):
            if strong and follows is not None:  # "... but the left hand, where grip is three"
                lend_side(piece, follows)
                continue
            piece.link = "heading"
        if out and not pending and not strong:
            carry_denial(out[-1], piece, pieces[i:])
            if place_of_equal(out[-1], piece):
                continue
        if piece.lone_side and not piece.repeat and not strong and _ends_with_side(out, pieces, i):
            out[-1].side, out[-1].side_placed = piece.side, piece.side_placed
            if piece.side == "both" and piece.side_placed:
                spread_back(out[:-1], "both", closing=True)
            absorb(out[-1], piece)
            continue
        goes_on = grade_of_sign if piece.link != "and" else grade_of_equal
        if out and not pending and not strong and goes_on(out[-1], piece):
            out[-1].targets.extend(piece.targets)
            absorb(out[-1], piece, values=True)
            continue
        if pending and not strong:
            as_value(piece)
        if out and not pending and own_place(out[-1], piece) and take_places(out[-1], [piece]):
            continue
        closing = None if pending else limb_closes(out, piece, i + 1 == len(pieces))
        if closing is not None:
            spread_back(out, closing)
            absorb(out[-1], piece)
            out[-1].spans.extend(piece.targets[0].spans)
            continue
        if not pending and i + 1 == len(pieces) and _place_of_sign(out, piece):
            for target in piece.targets:
                target.signs = [*out[-1].targets[0].signs]
            out[-1].targets, out[-1].link = piece.targets, "start"
            absorb(out[-1], piece)
            continue
        much = None if pending else _much_of_sign(out, piece)
        if much is not None:
            for target in piece.targets:
                target.signs = [*much]
            if out[-1].link == "heading":
                piece.link = "start"
                absorb(piece, out.pop())
            out.append(piece)
            continue
        waits = piece.targets and not piece.has_value
        alone = piece.has_value and not piece.targets
        if alone and piece.values and out and not pending and of_one_side(out[-1], piece):
            piece.link, strong = "but", True
        if alone and not strong and out and not pending and one_more_word(out[-1], piece):
            absorb(out[-1], piece, values=True)
            continue
        if waits and not strong and takes_list(out, piece, pieces, i) and not pending:
            for target in piece.targets:
                target.placed = True
            out[-1].targets.extend(piece.targets)
            absorb(out[-1], piece)
        elif piece.link == "heading" and piece.targets and pending:
            piece.targets[:0] = [target for earlier in pending for target in earlier.targets]
            pending = []
            out.append(piece)
        elif waits and not _closes(piece):
            if piece.link in {"replace", "take_back"} and pending:
                pending, piece.link = [], "start"  # corrected before its value was said
            pending.append(piece)
        elif _claims(piece) and pending and not strong and not piece.rest:
            for earlier in reversed(pending):
                piece.targets[:0] = earlier.targets
                absorb(piece, earlier)
            piece.link, pending = pending[0].link, []
            out.append(piece)
        elif alone and pending and not strong and not _other_part(pending, piece):
            first = pending[0]
            for earlier in pending[1:]:
                first.targets.extend(earlier.targets)
                absorb(first, earlier)
            strange = _own_grade(piece)
            absorb(first, piece, values=True)
            pending = []
            out.extend([first, *strange])
        else:
            out.extend(pending)
            pending = []
            free = piece.repeat or piece.link in {"replace", "take_back"} or piece.rest
            free = free or bool(piece.unknown and not piece.values and not piece.not_done)
            free = free or bool(piece.part and out and out[-1].targets and not _limbs(out[-1]))
            free = free or of_unknown(piece)
            if alone and out and not free and _only_named(out[-1], piece):
                out[-1].side, out[-1].side_placed = piece.side, piece.side_placed
                out[-1].link = "start" if out[-1].link == "heading" else out[-1].link
                absorb(out[-1], piece, values=True)
                continue
            if alone and out and not free:
                piece.copied = True
                piece.unclear = piece.unclear or _strange_heading(out[-1], piece)
            out.append(piece)
    if take_places(out[-1] if out else None, pending):
        pending = []
    made = [*out, *pending, *idle]
    deny_together(made)
    share_limb(made)
    share_name(made)
    for piece in made:
        _last_side_for_all(piece)
        _carry_sides(piece)
    return made


def _listed_before(out: list[Statement], pending: list[Statement]) -> bool:
    """Sites that wait are those of the value said first ("lost at the toes and the ankles, ...").

    They are added to it; False where they wait for something else.
    """
    if not pending:
        return True
    sites = all(
        t.sites and not (t.tests or t.signs or t.side) for piece in pending for t in piece.targets
    )
    last = out[-1].targets[-1]
    joined = all(piece.link in {"and", "comma"} and not piece.unknown for piece in pending)
    if not (sites and joined and last.sites and last.placed):
        return False
    for piece in pending:
        for target in piece.targets:
            target.placed = True
        out[-1].targets.extend(piece.targets)
        absorb(out[-1], piece)
    return True


def _at_limb(last: Statement) -> bool:
    """ "Normal in the arms": a limb after "and" is one more of the same, and heads nothing."""
    where = last.targets[-1] if last.targets and last.has_value else None
    return where is not None and where.placed and where.on_limb and not where.tests


def _place_of_sign(out: list[Statement], piece: Statement) -> bool:
    """ "Wasting: both hands.": a sign as a heading, and nothing after it but where it is."""
    if len(out) != 1 or out[0].link != "heading" or len(out[0].targets) != 1:
        return False
    sign = out[0].targets[0]
    bare = sign.signs and not (sign.sites or sign.side or out[0].side or out[0].denied)
    sites = piece.targets and all(t.sites and not (t.tests or t.signs) for t in piece.targets)
    more = piece.has_value or piece.unknown or piece.doubts or piece.repeat or piece.rest
    return bool(bare and sites) and not more and piece.link == "colon"


def _much_of_sign(out: list[Statement], piece: Statement) -> list[Reading] | None:
    """ "Rigidity: the right arm moderate, the left arm mild": how much of it there is at a place.

    Returns:
        The sign, or None where the piece says no such thing.
    """
    last = out[-1] if out else None
    if last is None or len(last.targets) != 1 or not last.targets[0].signs:
        return None
    head = last.link == "heading" and not (
        last.targets[0].sites or (last.has_value and last.values)
    )
    again = last.targets[0].sites and bool(last.details) and not (last.values or last.denied)
    sites = piece.targets and all(
        t.sites and t.side and not (t.tests or t.signs) for t in piece.targets
    )
    more = piece.has_value or piece.unknown or piece.doubts or piece.repeat or piece.rest
    told = piece.details and piece.link in {"colon", "comma", "and"}
    return last.targets[0].signs if (head or again) and sites and told and not more else None


def _only_named(last: Statement, piece: Statement) -> bool:
    """ "Babinski right present, left absent", "toes: up on the left": the name says nothing yet."""
    plain = not (last.values or last.denied or last.not_done or last.side or last.unknown)
    sided = piece.side in {"right", "left"} and not any(t.side for t in last.targets)
    if not (plain and sided and piece.values and len(last.targets) == 1) or piece.doubts:
        return False
    target = last.targets[0]
    told = all(
        any(r.id in {"present", "absent"} and not r.test for r in value.readings)
        for value in piece.values
    )
    sign = bool(target.signs) and not target.sites and told
    return sign or (last.link == "heading" and target.dual and not target.signs)


def _own_grade(piece: Statement) -> list[Statement]:
    """ "Biceps and flurbs 4/5": the grade is of the word that nobody knows as well."""
    if not of_unknown(piece) or piece.doubts or piece.talk:
        return []
    return [Statement(link="and", values=piece.values, side=piece.side, unknown=piece.unknown)]


def _either(led: list[Statement], piece: Statement) -> bool:
    """ "normal or increased reflexes": two values of which one holds."""
    return piece.alternative and not piece.denied and not any(earlier.denied for earlier in led)


def _beside(out: list[Statement], pending: list[Statement]) -> Statement:
    """The statement that a qualifier said after it belongs to."""
    return (pending or out)[-1]


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


def _of_the_side(piece: Statement, follows: Statement, last: bool) -> bool:
    """ "... but on the left, four", "on the left the same": what follows is said of the side."""
    bare = not follows.targets and not follows.side
    goes_on = piece.link == "but" and follows.link == "comma" and follows.has_value
    # "Left: normal.", "Left, dysmetric.": nothing else stands in the sentence
    alone = last and piece.link in {"start", "heading"} and follows.link in {"comma", "colon"}
    goes_on = goes_on or (alone and follows.has_value and not (piece.unknown or follows.unknown))
    return bare and (follows.repeat or goes_on)


def _there_is(last: Statement, piece: Statement) -> bool:
    """ "No clonus on the right, three beats on the left": what is told of one side is there."""
    told = piece.lone_side and bool(piece.details) and not (piece.unknown or piece.repeat)
    sides = {last.side, *(target.side for target in last.targets)} - {None}
    return told and last.denied and bool(sides) and not sides & {"both", piece.side}


def _side_of_more(last: Statement, piece: Statement) -> bool:
    """ "Pinprick reduced in the feet and (a word nobody knows) on the right": of both, or of that
    word alone?"""
    unsided = last.side is None and all(target.side is None for target in last.targets)
    placed = bool(last.targets) and bool(last.targets[-1].sites) and last.has_value
    strange = bool(piece.unknown) if piece.lone_side else _of_another(last, piece)
    return piece.link == "and" and bool(piece.side) and strange and unsided and placed


def _of_another(last: Statement, piece: Statement) -> bool:
    """Nothing but words that are values of other tests than those that were named."""
    named = {reading.test for target in last.targets for reading in target.tests}
    said = [reading.test for value in piece.values for reading in value.readings]
    graded = any(value.grade is not None for value in piece.values)
    return bool(named and said) and not (piece.targets or graded or named & {*said}) and all(said)


def _leads_values(pieces: list[Statement], i: int) -> bool:
    """ "broad-based, spastic gait": a value word alone before a value that has its target."""
    follows = pieces[i + 1] if i + 1 < len(pieces) else None
    words = all(value.grade is None for value in pieces[i].values)
    plain = not pieces[i].side and not pieces[i].denied and not pieces[i].labels
    return bool(follows and follows.targets and follows.value_first and words and plain)


def _ends_with_side(out: list[Statement], pieces: list[Statement], i: int) -> bool:
    """ "hip flexion four on the, um, left": a side alone at the end is that of the last item."""
    if i + 1 < len(pieces) or not out or pieces[i].sections or pieces[i].link == "and":
        return False
    if pieces[i].unknown:
        return False
    last = out[-1]
    unsided = last.side is None and all(target.side is None for target in last.targets)
    return bool(last.targets) and last.has_value and unsided


def _other_part(pending: list[Statement], piece: Statement) -> bool:
    """ "quads and hamstrings, 0/0 distally": of another part than the muscles before it."""
    if piece.part and piece.targets == [] and not all(_limbs(earlier) for earlier in pending):
        return all(not t.tests for earlier in pending for t in earlier.targets)
    return _other_side(pending, piece)


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
    return (
        piece.link == "heading"
        or piece.repeat
        or piece.too
        or (named and bool(piece.labels or sided))
    )


def _strange_heading(last: Statement, piece: Statement) -> bool:
    """ "Motor: danced about well": a common word among unknown ones may not be the heading's."""
    common = all(not r.test for value in piece.values for r in value.readings)
    return last.link == "heading" and bool(piece.unknown) and common and not piece.not_done


def _limbs(piece: Statement) -> bool:
    return all(target.on_limb for target in piece.targets)
