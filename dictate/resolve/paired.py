"""The other one of a pair in a sentence of its own: "Normal on the right.", "The left doesn't."."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Statement, Target
from dictate.interpret.tokens import norms
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
    if not (said and bare and st.side in OTHER_SIDE):
        return
    words = not any(value.grade is not None for value in st.values)
    if st.every and not words:
        return  # "left deltoid four. Right all five.": of more than that muscle
    paused = last is None and words and _just_found(resolver)
    last = resolver.named_before if paused else last
    if last is None:
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
        now = len(resolver.utterances)
        tests = {e.finding.test for e in resolver.last_taken if e.utterance >= now - paused}
        test = tests.pop() if len(tests) == 1 else ""
        st.targets = [_of_test(target, test) for target in last.targets]
    if paused and st.targets:  # after a pause it is asked; the name stands in another utterance
        st.targets = [replace(target, spans=[*st.spans]) for target in st.targets]
        st.offered = True


def _just_found(resolver: Resolver) -> bool:
    """The utterance before found something of one test, and nothing was said since."""
    now = len(resolver.utterances)
    found = [entry for entry in resolver.last_taken if entry.utterance == now - 1]
    return bool(found) and len({entry.finding.test for entry in found}) == 1


def of_the_pair(
    resolver: Resolver, st: Statement, last: Statement | None, earlier: list[Statement]
) -> None:
    """ "The right pupil is four, the left is four. They both react.": of what was found of both.

    Args:
        resolver: The narration so far.
        st: What is said of both; it gets what it is said of.
        last: The last statement of the utterance that named something.
        earlier: The statements of the sentence before it.
    """
    bare = not (st.targets or st.unknown or st.rest or earlier or st.doubts or st.part or st.denied)
    words = bool(st.values) and all(value.grade is None for value in st.values)
    if last is None or not (bare and words) or st.side != "both" or st.link != "start":
        return
    now = len(resolver.utterances)
    tests = {r.test for target in last.targets for r in (*target.tests, *target.signs)}
    found = [e.finding for e in resolver.entries if e.utterance == now and e.finding.test in tests]
    spots = {(f.test, f.site) for f in found}
    if len(spots) == 1 and {f.side for f in found} >= {"right", "left"}:
        st.targets = [_of_test(target) for target in last.targets[:1]]
        st.targets[0].both = False


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


def _of_test(target: Target, found: str = "") -> Target:
    """What was named, without its side; of a sign ("sixth nerve palsy") its test.

    Args:
        target: What was named.
        found: The test that it was found to be of, where it named none ("right arm weak").
    """
    tests = target.tests or [replace(sign, kind="test", id="") for sign in target.signs]
    tests = tests or ([Term("test", test=found)] if found else [])
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


def with_that_side(
    resolver: Resolver, reading: Reading, sentence: Sentence, earlier: Sequence[Sentence]
) -> Sentence:
    """ "Power on that side: grip four": the side that was spoken last.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: A sentence of it.
        earlier: The sentences of the utterance before it.

    Returns:
        The sentence with that side in it, where it points at one and one is known.
    """
    forms = _that_side(resolver.grammar)
    words = reading.norms((sentence.start, sentence.end))
    found = [
        (end + 1 - len(form), end + 1)
        for end, word in enumerate(words)
        for form in forms.get(word, ())
        if words[max(0, end + 1 - len(form)) : end + 1] == form
    ]
    if not found or sentence.talk not in (None, "remark"):
        return sentence
    start, end = (sentence.start + at for at in min(found))
    rows = [item for one in earlier for item in one.row]
    rows += [item for item in sentence.row if item.end <= start]
    side = _last_side(resolver, rows)
    if side is None:
        return sentence
    text = reading.text((start, end))
    item = Item(
        "side",
        start,
        end,
        (Term("side", side),),
        text=text,
        placed=True,
        others=frozenset({"side"}),
    )
    row = [one for one in sentence.row if not (start <= one.start < end or start < one.end <= end)]
    row = sorted([*row, item], key=lambda one: one.start)
    return replace(sentence, row=row, talk=None, statements=resolver.reader.statements(row))


@lru_cache(maxsize=4)
def _that_side(grammar: Grammar) -> dict[str, list[tuple[str, ...]]]:
    """The forms by their last word."""
    out: dict[str, list[tuple[str, ...]]] = {}
    for form in map(norms, grammar.classes.get("that_side", ())):
        out.setdefault(form[-1], []).append(form)
    return out


def _last_side(resolver: Resolver, row: Sequence[Item]) -> str | None:
    """The side that was spoken last in a row, else the one that holds, else that of the last
    finding; nothing where that is both."""
    said = [r.id for item in row for r in item.of_kind("side")]
    if said:
        return said[-1] if said[-1] in OTHER_SIDE else None
    held = resolver.holds.side
    last = max((e.statement for e in resolver.entries), default=0)
    sides = {e.finding.side for e in resolver.entries if e.statement == last}
    side = held.id if held is not None else sides.pop() if len(sides) == 1 else None
    return side if side in OTHER_SIDE else None
