"""What goes from one statement or sentence to the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.bothsides import spread_back
from dictate.interpret.reader import Sentence
from dictate.interpret.statement import Statement, Target

#: A side that must be asked for: what was said gives two.
ASK = "?"
_ONE = {"right", "left"}


def lend_denied(source: Statement, st: Statement) -> None:
    """ "Oriented to person, but not to place": what is denied is what was said before it."""
    bare = (
        st.denied and not st.values and all(t.sites and (t.dual or not t.tests) for t in st.targets)
    )
    # "oriented to person, not to time, not to place": denied of one more
    again = source.denied and all(t.sites and t.signs and not t.tests for t in source.targets)
    if not bare or any(target.signs for target in st.targets) or st.sought:
        return
    if source.denied and not again:
        return
    signs = [sign for target in source.targets for sign in target.signs]
    if source.values:
        st.values = [replace(value, negated=not value.negated, spans=[]) for value in source.values]
        st.denied = False
    elif signs:
        takes = {r.test for target in st.targets for r in target.sites}
        own = [sign for sign in signs if sign.test in takes]
        for target in st.targets:
            target.signs = list(own)


def _joined(target: Target) -> bool:
    """ "Pin in the arms": a test and its place, each in a word of its own."""
    return bool(target.tests and target.sites) and not target.dual


def wholes_of(source: Statement) -> list[Target]:
    """ "Light touch and pinprick reduced ..., otherwise intact": each test, where there are two."""
    named = [t for t in source.targets if t.tests and not t.signs]
    tests = {tuple(r.test for r in t.tests): t for t in named}
    if len(tests) < 2 or len(named) < len([t for t in source.targets if t.tests or t.signs]):
        return []
    return [Target(tests=list(t.tests), spans=t.spans[:1]) for t in tests.values()]


def lend_tests(source: Statement, st: Statement) -> None:
    """ "Light touch and pinprick normal in the arms, reduced in the legs": of both tests again."""
    tests = [t for t in source.targets if t.tests and not t.signs and (_joined(t) or not t.sites)]
    placed = any(t.sites and (not t.tests or _joined(t)) for t in source.targets)
    dual = [t for t in st.targets if t.dual and t.placed and not t.signs]  # "at the toes"
    places = all(t in dual or (t.sites and not (t.tests or t.signs)) for t in st.targets)
    if (
        len(tests) > 1
        and placed
        and places
        and st.values
        and st.value_first
        and not (st.unknown or st.side)
    ):
        bare = (replace(t, side=None, sites=[], spans=t.spans[:1]) for t in tests)
        here = [replace(t, tests=[], dual=False) if t in dual else t for t in st.targets]
        st.targets = [*bare, *here]


def goes_on(sentence: Sentence, before: Sentence | None) -> bool:
    """ "This is reduced at the toes", "otherwise intact": of what the sentence before named.

    After a semicolon the list goes on.
    """
    if before is not None and before.row and before.row[-1].text == ";":
        return True
    first = next((item for item in sentence.row if item.kind != "comma"), None)
    if first is None or any(item.of_kind("test", "sign") for item in sentence.row):
        return False
    if "pronoun" in first.others or first.kind == "rest":
        return True
    return before is not None and before.talk is None and _next_place(sentence, before)


#: Kinds of a list of graded sites without a side.
_GRADED_LIST = frozenset({"target", "grade", "comma", "stop", "glue", "and", "place", "degree"})


def side_goes_on(sentence: Sentence, before: Sentence | None) -> bool:
    """ "Left hip flexion three; knee extension four": after a semicolon the list goes on."""
    if before is None or not before.row or before.row[-1].text != ";":
        return False
    graded = any(item.kind == "grade" for item in before.row)
    if not graded or not all(item.kind in _GRADED_LIST for item in sentence.row):
        return False
    named = [item for item in sentence.row if item.kind == "target"]
    parts = all({r.group for r in x.of_kind("site")} & {"muscle", "reflex"} for x in named)
    return bool(named) and parts and not any(x.of_kind("test", "sign") for x in named)


#: Kinds of a short sentence that says what was found at one more place.
_PLACE_AND_WORD = _GRADED_LIST | {"side", "value", "both_after"}
#: Groups of sites that one examines a whole body by, place after place.
_PLACES = frozenset({"limb", "region", "dermatome"})


def _next_place(sentence: Sentence, before: Sentence) -> bool:
    """ "Tone normal in the right arm. Left leg, reduced.": of what was just examined elsewhere."""
    row = sentence.row
    if not all(item.kind in _PLACE_AND_WORD for item in row):
        return False
    names = [item for item in row if item.kind == "target"]
    said = {item.kind for item in row} & {"value", "grade"}
    if not names or not said:
        return False
    if "grade" in said and not _graded_by_name(before):
        return False
    if not all(_PLACES & {r.group for r in item.of_kind("site")} for item in names):
        return False
    placed = [x for x in before.row if x.kind == "target" and x.of_kind("site")]
    return bool(placed) and all(_PLACES & {r.group for r in x.of_kind("site")} for x in placed)


def _graded_by_name(sentence: Sentence) -> bool:
    """A grade was said in it, and the name of the test ("reflexes three plus in the legs")."""
    graded = any(item.kind == "grade" for item in sentence.row)
    named = (x for x in sentence.row if x.kind == "target" and not x.of_kind("site"))
    return graded and any(x.of_kind("test") for x in named)


def graded_run(
    sentences: Sequence[Sentence], of: Sentence, graded: Callable[[Sequence[Statement]], bool]
) -> list[Statement]:
    """ "Biceps two plus. Knees one plus.": a list of which each item is a sentence.

    Args:
        sentences: Those of an utterance.
        of: One of them.
        graded: Whether statements are nothing but sites with their grades.

    Returns:
        The statements of ``of`` and of the sentences beside it that are like it.
    """
    run: list[Statement] = []
    within = False
    for sentence in sentences:
        if sentence.talk is None and graded(sentence.statements):
            run += sentence.statements
            within = within or sentence is of
        elif within:
            break
        else:
            run = []
    return run if within else []


def lend_signs(source: Statement, st: Statement) -> None:
    """ "Wasting of both hands, none in the arms": what is not there is the sign that was found."""
    places = bool(st.targets) and all(t.sites and not (t.tests or t.signs) for t in st.targets)
    gone = [{r.id for r in v.readings if not r.test} for v in st.values]
    if (
        not places
        or st.unknown
        or st.denied
        or not all("absent" in ids for ids in gone)
        or not gone
    ):
        return
    signs = [sign for target in source.targets for sign in target.signs]
    named = [r for target in source.targets for r in target.tests if r.id]
    if source.values or not (signs or named):
        return  # what was said of it was not that it is there
    for target in st.targets:
        target.signs, target.tests = list(signs), [] if signs else list(named)
    if signs:
        st.values, st.denied = [], True


def lend_named(
    grammar: Grammar, st: Statement, earlier: Sequence[Statement], later: Sequence[Statement]
) -> None:
    """ "Fasciculations in the right thigh, left calf", "dystonia: right foot": there as well.

    Only where nothing but places with their side is listed, and no value comes after them.
    """
    source = next((one for one in reversed(earlier) if one.targets), None)
    if source is None or st.link not in _LISTS or not _only_places(st) or _says_more(source):
        return
    tests = {r.test for target in source.targets for r in target.tests}
    waits = any(one.has_value and not any(t.tests or t.signs for t in one.targets) for one in later)
    if len(tests) != 1 or waits or any(target.signs for target in source.targets):
        return
    (test,) = tests
    takes = all(
        any(grammar.takes_site(test, r.group, r.id) for r in t.sites if r.group and r.id)
        for t in st.targets
    )
    if grammar.tests[test].named and takes:
        named = next(target.tests for target in source.targets if target.tests)
        for target in st.targets:
            target.tests = [r for r in named if r.test == test]


#: How one place of a list hangs on the one before.
_LISTS = frozenset({"comma", "and", "colon"})


def _only_places(st: Statement) -> bool:
    """Places that each have their side, and nothing said of them."""
    said = st.has_value or st.doubts or st.unknown or st.rest or st.compared or st.repeat
    plain = all(t.sites and not (t.tests or t.signs or t.edge) for t in st.targets)
    sided = all(t.side or t.both or st.side for t in st.targets)
    return bool(st.targets) and plain and sided and not (said or st.copied or st.not_done)


def _says_more(source: Statement) -> bool:
    """Something was said of it beside its name."""
    return bool(source.has_value or source.doubts or source.unknown or source.compared)


def speaks_to(sentence: Sentence) -> bool:
    """It is said to somebody: an instruction, or a sentence with "you" in it."""
    return sentence.talk is not None or any("you" in item.others for item in sentence.row)


def after_unknown(sentence: Sentence, st: Statement) -> bool:
    """A word that nobody knows was said before this side in its sentence."""
    spans = [*st.spans, *(span for target in st.targets for span in target.spans)]
    start = min((span[0] for span in spans), default=0)
    return any(item.kind == "unknown" and item.start < start for item in sentence.row)


def too_strange(st: Statement) -> bool:
    """Mostly words that nobody knows, or an account in the first person: talk, not a statement."""
    known = len(st.targets) + len(st.values) + bool(st.denied)
    graded = any(v.grade is not None and (v.grade.sign or v.grade.of) for v in st.values)
    return st.talk or (len(st.unknown) > 2 + known and not graded)


def spread_last_side(statements: list[Statement]) -> list[Statement]:
    """A side that comes once, at the end of a list, holds for the whole list.

    So does "both sides" at the end of each part of it.
    """
    for i, st in enumerate(statements):
        placed = st.side == "both" and st.side_placed
        alike = st.both_after and i + 1 == len(
            statements
        )  # "... two plus, knee two plus, symmetric"
        graded = any(value.grade is not None for value in st.values)
        if st.targets and ((placed and st.has_value) or (alike and graded and not st.side)):
            spread_back(statements[:i], "both")
    listed = [st for st in statements if st.targets and st.has_value]
    if len(listed) < 2 or statements[-1] is not listed[-1]:
        return statements
    if _sides_trail(listed):
        return statements
    last = listed[-1]
    if last.side not in {"right", "left", "both"} or any(t.side for t in last.targets):
        return statements
    if any(st.side or st.link in {"but", "except"} or _heads(st) for st in statements[:-1]):
        return statements
    if any(target.side for st in listed for target in st.targets):
        return statements
    for st in listed[:-1]:
        st.list_side = last.side
    return statements


def _heads(st: Statement) -> bool:
    """A heading that says a side ("right arm:", "legs:", but not "LE:", "XI:" or "reflexes:")."""
    sided = (t.side or t.both or any(r.plural for r in t.sites) for t in st.targets)
    return st.link == "heading" and bool(st.side or any(sided))


def _sides_trail(listed: list[Statement]) -> bool:
    """ "Deltoid four, biceps five on the left, deltoid three, biceps four on the right".

    Each side comes at the end of its part of the list. It holds for that part where both parts
    name the same things; else an item between the two may be of either side, and is asked about.
    """
    parts: list[list[Statement]] = [[]]
    for st in listed:
        if any(target.side for target in st.targets) or st.link in {"but", "except", "heading"}:
            return False
        parts[-1].append(st)
        if st.side in _ONE:
            parts.append([])
    ended = parts[:-1]
    if len(ended) < 2 or len(ended[0]) < 2 or len({part[-1].side for part in ended}) < 2:
        return False
    alike = len({tuple(map(_named, part)) for part in ended}) == 1 and not parts[-1]
    for part in ended:
        for st in part[:-1]:
            st.list_side = part[-1].side if alike else ASK
    return True


def _named(st: Statement) -> tuple[str, ...]:
    """The names of what a statement speaks of."""
    return tuple(r.id or r.test for target in st.targets for r in target.sites or target.tests)
