"""The other one of a pair in a sentence of its own: "Normal on the right.", "The left doesn't."."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Sentence
from dictate.interpret.statement import Said, Statement, Target
from dictate.model import OTHER_SIDE

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def other_side(
    resolver: Resolver, sentence: Sentence, st: Statement, last: Statement | None,
    earlier: list[Statement],
) -> None:  # fmt: skip
    """ "Finger to nose slow on the left. Normal on the right.": of what was just said.

    Args:
        resolver: The narration so far.
        sentence: The sentence.
        st: What is said of a side; it gets what it is said of.
        last: The last statement of the utterance that named something.
        earlier: The statements of the sentence before it.
    """
    said = bool(st.values or st.not_done or st.denied)
    bare = not (st.targets or st.unknown or st.rest or earlier or st.doubts or st.part)
    if last is None or not (said and bare and st.side in OTHER_SIDE):
        return
    graded = [[v.grade is not None for v in one.values] for one in (st, last)]
    if any(graded[0]) and graded[0] != graded[1] and not _graded_by_name(resolver, last):
        return  # a grade is of a name that had a grade too
    if _sides(last) != {OTHER_SIDE[st.side or ""]}:
        return
    if st.denied and not (st.values or st.not_done):
        again = resolver.grammar.classes.get("also_denied", ())
        too = any("also" in x.others or {*x.text.split()} & {*again} for x in sentence.row)
        _denied(st, last, too)
    elif not (st.denied and st.sought):
        st.targets = [_of_test(target) for target in last.targets]


def _denied(st: Statement, last: Statement, too: bool) -> None:
    """ "The right doesn't", "left also not": what was said of the one is denied of the other."""
    words = [value for value in last.values if value.grade is None]
    signs = all(target.signs for target in last.targets)
    if len(words) != len(last.values) or last.denied or last.not_done:
        return
    if st.sought and not signs:
        st.targets = [_of_test(target) for target in last.targets]
    elif len(words) == 1 and not signs and _said_no(words[0]) == too:
        negated = words[0].negated == too
        st.values, st.denied = [replace(words[0], negated=negated, spans=[])], False
        st.targets = [_of_test(target) for target in last.targets]
    elif signs and not (words or st.sought or too):
        st.targets = [replace(target, side=None) for target in last.targets]
    elif len(words) == 1 and not signs:
        st.targets = [_of_test(target) for target in last.targets]
        st.unclear = True  # "The left is absent. The right isn't.": what is it then?


def _said_no(word: Said) -> bool:
    """It is denied, or says by itself that something is not there ("doesn't react")."""
    return word.negated or any(reading.id == "absent" for reading in word.readings)


def _of_test(target: Target) -> Target:
    """What was named, without its side; of a sign ("sixth nerve palsy") its test."""
    tests = target.tests or [replace(sign, kind="test", id="") for sign in target.signs]
    return replace(target, side=None, tests=tests, signs=[])


def _sides(last: Statement) -> set[str]:
    return {side for side in (last.side, *(target.side for target in last.targets)) if side}


def _graded_by_name(resolver: Resolver, last: Statement) -> bool:
    """ "Knee jerk absent on the left. Right two plus.": the test named has grades of its own."""
    grammar = resolver.grammar
    tests = {r.test for target in last.targets for r in target.tests}
    scales = [grammar.tests[test].scale for test in tests]
    return bool(tests) and all(scale and grammar.scales[scale].unnamed for scale in scales)


def as_found(resolver: Resolver, sentence: Sentence) -> Sentence:
    """So short that it might be a reply ("Left. Down."), but the last was of the other side.

    Returns:
        The sentence as a statement, where the test that was just named takes the word.
    """
    last = resolver.named_last
    if sentence.talk != "by_patient" or last is None or resolver.replying:
        return sentence
    said = [item for item in sentence.row if item.kind not in {"glue", "stop"}]
    if [item.kind for item in said] != ["side", "value"]:
        return sentence
    side = said[0].of_kind("side")[0].id
    statements = resolver.reader.statements(sentence.row)
    tests = {r.test for t in last.targets for r in (*t.tests, *t.signs)} or {
        entry.finding.test for entry in resolver.last_taken
    }
    values = [value for st in statements for value in st.values]
    fits = bool(values) and all(resolver.fits(test, value) for test in tests for value in values)
    if len(tests) != 1 or not fits or _sides(last) != {OTHER_SIDE.get(side)}:
        return sentence
    return replace(sentence, talk=None, statements=statements)
