"""Lists: how far a denial, a value or a side goes on over the items after it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from dictate.interpret.lexicon import Reading, all_normal
from dictate.interpret.statement import Said, Statement
from dictate.model import OTHER_SIDE


def one_unknown(piece: Statement) -> bool:
    return len(piece.unknown) == 1 and not (piece.doubts or piece.talk or piece.details)


def denied_unknown(out: list[Statement], pending: list[Statement], piece: Statement) -> bool:
    """An item of a denied list that nobody knows, alone or with the name of a part."""
    if not out or pending or not piece.unknown or piece.has_value or piece.side:
        return False
    opened = out[-1].denied and (piece.empty or not out[-1].targets)
    return opened and piece.link in {"comma", "and"} and not piece.doubts


def carry_denial(last: Statement, piece: Statement, rest: list[Statement]) -> None:
    """ "no weakness, atrophy or numbness": a negation covers the signs that follow it in a list."""
    signs = any(target.signs for target in piece.targets)
    bare = piece.alternative and not (piece.targets or piece.side or piece.denied)
    if bare and last.denied and last.value_first and not last.values:
        for value in piece.values:  # "without papilloedema or pallor"
            value.negated = value.negated or value.grade is None
    if not last.targets and piece.alternative:
        signs = signs or any(r.id for target in piece.targets for r in target.tests)
        signs = signs or any(r.test for target in piece.targets for r in target.sites)
    confirmed = bool(piece.values) and all(_confirms(value) for value in piece.values)
    if confirmed and piece.alternative and last.denied:
        # "no ... or tremor noted": the word only confirms what is denied
        signs, piece.values = True, []
    plain = not piece.values and not piece.denied and not piece.not_done and not piece.copied
    open_ = piece.value_first and piece.values and piece.targets and piece.alternative
    if not last.denied or not (last.value_first or last.unknown or not last.targets):
        return
    if open_ and all(value.grade is None for value in piece.values):
        piece.denied = piece.value_first = True
    elif signs and plain and (piece.states or piece.link == "stop" or piece.well > last.well):
        return  # "no aphasia, the language is fluent", "no ptosis, pupils normal"
    elif signs and plain:
        sided = piece.side or any(target.side for target in piece.targets)
        ends_in_or = any(later.alternative for later in rest)
        piece.denied = piece.value_first = True
        piece.unclear = bool(sided) and not ends_in_or
        # "no ... or optic atrophy": a word nobody knows may make it another thing
        piece.unclear = piece.unclear or any(target.odd for target in piece.targets)


def _says_normal(piece: Statement) -> bool:
    """Signs after a comma that each say that nothing is wrong: no item of a denied list."""
    told = [reading for target in piece.targets for reading in target.signs]
    return all_normal(told) and not piece.alternative


def gone_together(pieces: list[Statement]) -> None:
    """ "Nystagmus, skew and ptosis all absent": what is said last is said of all.

    Args:
        pieces: Those of one sentence; signs that nothing else was said of take the value.
    """
    for i, last in enumerate(pieces):
        said = [v for v in last.values if any(r.id == "absent" and not r.test for r in v.readings)]
        ends = last.every or last.link == "and"
        plain = last.targets and not (last.value_first or last.side or last.unknown)
        if not (said and plain and ends) or len(said) != len(last.values):
            continue
        first = i
        while first and _bare_sign(pieces[first - 1]) and pieces[first].link in {"comma", "and"}:
            first -= 1
        listed = pieces[first:i]
        if any(target.signs for piece in listed for target in piece.targets):
            for piece in listed:
                piece.values = [replace(value, spans=list(value.spans)) for value in said]


def values_first(pieces: list[Statement]) -> None:
    """ "Three plus, left knee; two plus, right knee": each value with the name after it.

    Args:
        pieces: Those of one sentence. Only where every part between two stops is a value by itself
            and then names of which nothing more is said.
    """
    parts: list[list[Statement]] = []
    for piece in pieces:
        if not parts or piece.link in {"start", "stop"}:
            parts.append([])
        parts[-1].append(piece)
    if not all(map(_value_then_names, parts)):
        return
    for value, first, *_ in parts:
        first.values, first.value_first, first.apart = value.values, True, True
        first.link, first.spans = value.link, [*value.spans, *first.spans]
        pieces.remove(value)


def _value_then_names(part: list[Statement]) -> bool:
    if len(part) < 2 or part[0].targets or not part[0].values:
        return False
    value, *names = part
    alone = not (value.side or value.denied or value.not_done or value.details or value.labels)
    plain = alone and not any(p.unknown or p.doubts or p.talk or p.repeat or p.rest for p in part)
    named = all(p.targets and not p.has_value and p.link in {"comma", "and"} for p in names)
    return plain and named


def _bare_sign(piece: Statement) -> bool:
    """A sign, or a name that waits for what is said of it, and nothing more."""
    more = piece.values or piece.denied or piece.not_done or piece.side or piece.parts
    odd = piece.unknown or piece.doubts or piece.repeat or piece.talk
    placed = any(target.side or target.sites for target in piece.targets)
    return bool(piece.targets) and not (more or odd or placed or _says_normal(piece))


def deny_together(made: list[Statement]) -> None:
    """ "no facial, jaw or tongue weakness": the noun at the end is denied of all of them."""
    for i, last in enumerate(made):
        signs = bool(last.targets) and all(target.signs for target in last.targets)
        open_ = last.alternative and signs and not (last.denied or last.values or last.side)
        if not open_:
            continue
        first = i - 1
        while first >= 0 and not made[first].denied and _bare_tests(made[first]):
            first -= 1
        if first < 0 or not made[first].denied or made[first].values:
            continue
        last.denied = last.value_first = True
        for piece in made[first:i]:
            bare = [t for t in piece.targets if t.tests and not t.signs]
            if bare and not any(r.id for t in bare for r in t.tests):
                piece.values = [Said(readings=(Reading("trouble"),), negated=True)]
                piece.denied = False


def share_limb(made: list[Statement]) -> None:
    """ "4/5 proximally and 5/5 distally in both legs": the limb is that of both parts."""
    for first, second in pairwise(made):
        parts = bool(first.part and second.part) and first.part != second.part
        placed = any(target.sites for target in first.targets)
        limbs = [t for t in second.targets if t.on_limb]
        if parts and first.values and second.values and limbs and not placed and not first.denied:
            first.targets.extend(replace(t, tests=[], placed=True) for t in limbs)
            first.side = first.side or second.side


def share_name(made: list[Statement]) -> None:
    """ "RUE and LUE drift": the name after the last limb is that of the limbs before it."""
    for i in range(len(made) - 1, 0, -1):
        first, second = made[i - 1], made[i]
        last = second.targets[0] if second.targets else None
        named = last is not None and bool(last.tests and last.side)
        limbs = bool(first.targets) and all(
            t.whole and t.side and not (t.tests or t.signs) for t in first.targets
        )
        bare = not (first.has_value or second.value_first or first.unknown or first.doubts)
        if named and limbs and bare and second.link == "and" and first.link != "heading":
            second.targets[:0] = first.targets
            second.link = first.link
            made.pop(i - 1)


def _bare_tests(piece: Statement) -> bool:
    """The names of tests and nothing said of them."""
    named = bool(piece.targets) and all(target.tests for target in piece.targets)
    return named and not piece.has_value and not piece.unknown


def _confirms(value: Said) -> bool:
    return any(reading.id == "present" and not reading.test for reading in value.readings)


def _sign_at_place(last: Statement) -> bool:
    """ "Fasciculations in the left arm": a name that says by itself that it is there, and where."""
    named = all(t.tests and all(r.id for r in t.tests) for t in last.targets)
    return named and last.targets[-1].placed and bool(last.targets[-1].sites)


def takes_list(out: list[Statement], piece: Statement, pieces: list[Statement], i: int) -> bool:
    """A value said first goes on over the list after it, unless a later value claims the items."""
    if not out or out[-1].copied or not out[-1].targets:
        return False
    if not (out[-1].has_value or _sign_at_place(out[-1])):
        return False
    if piece.repeat:
        return False  # "normal in the arm, and the same for pinprick"
    if piece.measured:
        return False  # "lost at the toes, ten seconds at the ankles": these have their own
    last = out[-1].targets[-1]
    tests_only = all((t.tests and not t.sites) for t in piece.targets)
    dual = bool(last.tests and last.sites) or bool(last.sites and last.placed)
    sites_only = not any((t.tests or t.signs) and not (dual and t.dual) for t in piece.targets)
    placed = last.placed or (not last.tests and any(t.placed and t.sites for t in out[-1].targets))
    sites_go_on = placed and (sites_only or (tests_only and bool(last.tests)))
    sites_go_on = sites_go_on or (last.placed and bool(last.tests) and _tests_at(piece))
    if any(target.odd and (target.placed or target.edge) for target in piece.targets):
        return False  # "and some paraesthesia below L1" is no item of the list
    spoken = {r.test for t in out[-1].targets for r in t.tests}
    again = any(r.test in spoken for t in piece.targets for r in t.tests if not t.dual)
    if out[-1].denied and again:
        return False
    if not (out[-1].value_first or out[-1].not_done or sites_go_on):
        return False
    named = all(reading.id for target in piece.targets for reading in target.tests)
    if out[-1].denied and not (named or piece.alternative):
        return False
    if sites_go_on and piece.link == "and" and _contrast(out[-1], pieces, i + 1):
        return True  # "four in the left arm and leg, five on the right"
    led = last.placed  # "intact to light touch and pin, vibration reduced"
    begun = out[-1].value_first or out[-1].targets[0].sign_first or led
    alike = _same_kind(out[-1], piece) or (tests_only and bool(last.tests))
    if begun and alike and not out[-1].denied and _list_ends(pieces, i):
        return True  # "oriented to person and place, time impaired"
    for later in pieces[i + 1 :]:
        if later.link in {"but", "except", "replace", "take_back", "stop", "colon"}:
            break
        if later.rest:
            break  # "..., otherwise intact" speaks of all the others
        if later.has_value and later.part and not later.targets:
            break  # "..., 0/0 distally" is of another part
        if later.has_value and later.symmetric and len(later.values) == 1 and not later.targets:
            continue  # "..., symmetric": of both sides of all that was listed
        if later.has_value:
            if later.targets and (later.value_first or later.targets[0].sign_first):
                break
            if _of_another_test(later, piece):
                break  # "in time and in place, and cooperative"
            return _deniable(out[-1], piece)
    return True


def _of_another_test(later: Statement, piece: Statement) -> bool:
    """Nothing but a word of a test that has no such place."""
    said = [r.test for value in later.values for r in value.readings]
    graded = any(value.grade is not None for value in later.values)
    places = {r.test for target in piece.targets for r in target.sites}
    sites = bool(piece.targets) and all(t.sites and not t.tests for t in piece.targets)
    plain = sites and bool(said) and all(said) and not (later.targets or later.denied)
    return plain and not graded and all(places) and not places & {*said}


def _tests_at(piece: Statement) -> bool:
    """ "(Normal to light touch) and pin in the arms": a test, and where all of them were made."""
    first, *places = piece.targets
    if first.tests and first.sites and not (first.signs or first.dual):
        return not places
    bare = bool(first.tests) and not (first.sites or first.signs)
    return bare and bool(places) and all(t.sites and t.placed and not t.tests for t in places)


def _list_ends(pieces: list[Statement], i: int) -> bool:
    """ "..., B and C, D reduced": the list ends with its "and", and the next name has its value."""
    while i < len(pieces) and pieces[i].link == "comma" and _waits(pieces[i]):
        i += 1
    if i + 1 >= len(pieces) or pieces[i].link != "and" or not _waits(pieces[i]):
        return False
    follows = pieces[i + 1]
    own = bool(follows.targets and follows.values) and not follows.value_first
    # "to place and person and her speech is normal"
    test = all(t.tests and not t.sites for t in follows.targets)
    test = test and all(t.sites and not t.tests for t in pieces[i].targets)
    # "at the biceps, triceps and supinator on both sides, and the ankles are absent"
    test = test or bool(pieces[i].side) or any(t.side_after for t in pieces[i].targets)
    return own and (follows.link == "comma" or (follows.link == "and" and test))


def _waits(piece: Statement) -> bool:
    """A name of which nothing is said."""
    return bool(piece.targets) and not (piece.has_value or piece.repeat or piece.unknown)


def _same_kind(last: Statement, piece: Statement) -> bool:
    """Sites of one test or one group, so that the list goes on."""

    def kinds(st: Statement) -> set[tuple[str, str]]:
        return {(r.test, r.group) for t in st.targets for r in t.sites}

    return bool(kinds(last) & kinds(piece))


def _contrast(last: Statement, pieces: list[Statement], i: int) -> bool:
    """The next piece is a value for the other side of the same list."""
    if i >= len(pieces) or pieces[i].targets or not pieces[i].values:
        return False
    sides = {last.side, *(target.side for target in last.targets)} - {None}
    return pieces[i].side in {"right", "left"} and sides == {OTHER_SIDE[pieces[i].side or ""]}


def _deniable(first: Statement, piece: Statement) -> bool:
    """In "no drift, tremor, tone normal" the signs go with the negation."""
    named = [reading for target in piece.targets for reading in target.tests]
    return first.denied and bool(named) and not any(t.sites for t in piece.targets)
