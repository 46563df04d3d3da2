"""Headings: a side, a limb, a test or a section that holds for what follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Span, Statement, Target
from dictate.model import OTHER_SIDE, UtteranceKind
from dictate.resolve.context import Hold
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


#: An utterance of so many statements is more than a heading.
_FEW = 4


def is_heading(grammar: Grammar, st: Statement) -> bool:
    """Names something and says nothing of it: a section, a test, a limb with a side, a side."""
    if st.has_value or st.repeat or st.copied or st.link in {"except"} or st.doubts:
        return False
    if st.sections and not st.targets:
        return True
    if st.lone_side:
        return not (st.unknown or st.labels or st.compared or st.link == "but")
    if not st.targets or (st.unknown and st.link != "heading"):
        return False
    tests_named = any(target.tests for target in st.targets)
    if st.compared or (st.hesitant and tests_named):
        return False
    return all(_names_no_item(grammar, target, st) for target in st.targets)


def _names_no_item(grammar: Grammar, target: Target, st: Statement) -> bool:
    tests = {reading.test for reading in target.tests}
    if tests and not target.sites:
        held = all(grammar.tests[test].heading for test in tests)
        return held or st.link == "heading" or target.section
    limb = target.on_limb
    if target.sites and (not tests or target.dual):
        return limb or st.link == "heading"
    signs = any(grammar.tests[test].named for test in tests)
    bare = limb and bool(tests) and not signs and not target.placed
    return st.link == "heading" or bare


def take(resolver: Resolver, reading: Reading, st: Statement, told: bool = False) -> UtteranceKind:
    """Let a heading hold; ``told``: it stands in a sentence to the patient."""
    holds = resolver.holds
    for section in st.sections:
        if holds.section != section:
            leave_section(resolver)
            holds.test = None
        holds.section = section
        resolver.headed.add(section)
    goes_on = st.link == "and" and holds.site and holds.site.place.utterance == resolver.hearing
    named = [holds.site.id, *holds.site.more] if goes_on and holds.site else []
    crossed = _two_of_one_side(resolver, reading, st)
    for target in st.targets:
        tests = [r.test for r in target.tests]
        if len(set(tests)) == 1 and not (target.dual and target.sites):
            section = resolver.grammar.area_of(tests[0]).area
            if holds.section not in (None, section):
                leave_section(resolver)
            holds.section = section
            resolver.headed.add(section)
            general = target.section and resolver.grammar.tests[tests[0]].gives_way
            # "sensory." opens its section; which of its tests follows is not said by it
            head = place(reading, target.spans[0])
            holds.test = None if general else Hold(tests[0], head, graded=True)
        limb = next((r for r in target.sites if r.group == "limb"), None)
        placed = st.link == "heading" and not target.dual  # "toes: right up" is of no place
        site = limb or next((r for r in target.sites if placed), None)
        if site is not None:
            more = tuple(name for name in named if name != site.id)
            named.append(site.id)
            holds.site = Hold(site.id, place(reading, target.spans[-1]), more=more)
            holds.item_site = None
        plural = limb is not None and limb.plural
        if (target.side or target.both or plural) and not crossed:
            here = place(reading, _side_of(resolver.grammar, reading, target))
            holds.side = Hold(target.side or "both", here, told=told)
            resolver.run = []
    if crossed:
        holds.side = None
    elif st.side in {"right", "left", "both"}:
        holds.side = Hold(st.side, place(reading, (st.spans or [(0, 1)])[0]), told=told)
        holds.site = None if st.lone_side else holds.site
        resolver.run = []
    holds.item_side = None
    named_more = st.sections or any(target.tests for target in st.targets)
    if not named_more and _alone(resolver.grammar, reading):
        holds.section = None  # the first finding under it opens its section and does not end it
    return "command"


def _two_of_one_side(resolver: Resolver, reading: Reading, st: Statement) -> bool:
    """ "Okay, right, legs", "on the right, legs": whether it is the side or both is asked.

    "Left UL" is one limb: only a side that stands apart from the limb may be of something else.
    """
    limbs = [t for t in st.targets if any(r.group == "limb" and r.plural for r in t.sites)]
    held = resolver.holds.side
    if limbs and held is not None and resolver.holds.site is None and held.id in OTHER_SIDE:
        return held.place.utterance == resolver.hearing  # the side alone was said just now
    for target in limbs:
        side = _side_of(resolver.grammar, reading, target)
        apart = reading.norms((side[1], max(span[0] for span in target.spans)))
        if {target.side, st.side} & {*OTHER_SIDE} and not all(map(str.isalnum, apart)):
            return True
    return False


def _alone(grammar: Grammar, reading: Reading) -> bool:
    """Nothing but a heading or two was said."""
    said = [st for sentence in reading.sentences[:_FEW] for st in sentence.statements[:_FEW]]
    return len(said) < _FEW and all(is_heading(grammar, st) for st in said)


def _side_of(grammar: Grammar, reading: Reading, target: Target) -> Span:
    """The words of a target that say its side."""
    sides = {*grammar.sides.right, *grammar.sides.left, *grammar.sides.both}
    said = (span for span in target.spans if " ".join(reading.norms(span)) in sides)
    return next(said, target.spans[0])


def take_place(resolver: Resolver, reading: Reading, sentence: Sentence) -> UtteranceKind:
    """ "On the exam of your left arm": that arm holds for what follows."""
    side, target = sentence.row[-2:]
    here = place(reading, (side.start, target.end))
    sites = target.of_kind("site")
    site = next((r for r in sites if r.group == "limb"), sites[0])
    resolver.holds.site = Hold(site.id, here)
    resolver.holds.side = Hold(side.of_kind("side")[0].id, here)
    resolver.holds.test = None
    resolver.run = []
    return "command"


def leave_section(resolver: Resolver) -> bool:
    """A new section ends the side, limb and test that held from an earlier utterance.

    Returns:
        True where something ended.
    """
    ended = False
    for name in ("side", "site", "test"):
        hold = getattr(resolver.holds, name)
        if hold is not None and hold.place.utterance != resolver.hearing:
            setattr(resolver.holds, name, None)
            ended = True
    return ended


def hold_limb(resolver: Resolver, reading: Reading, st: Statement) -> None:
    """ "Right arm tone increased, no fasciculations": the limb holds on in the utterance.

    Whether a part of it does ("right biceps reflex two plus, power five") is asked.
    """
    for target in st.targets[:1]:
        limb = next((r for r in target.sites if r.group == "limb"), None)
        where = limb or next((r for r in target.sites if r.group and target.side), None)
        first = target.spans and target.spans[0][0] == min(
            (span[0] for t in st.targets for span in t.spans), default=0
        )
        leads = not st.value_first and (limb is not None or not target.placed)
        alone = limb is not None and target.side in OTHER_SIDE and st.has_value  # "left arm weak"
        if where is not None and first and leads and (target.tests or alone):
            site_first = min(target.spans)[0] < (
                st.values[0].spans[0][0] if st.values and st.values[0].spans else 0
            )
            if site_first and reading.sentences and _limb_first(reading, target):
                here = place(reading, target.spans[0])
                side = target.side or st.side or ("both" if where.plural else None)
                resolver.holds.item_site = Hold(where.id, here, part=limb is None, side=side)


def _limb_first(reading: Reading, target) -> bool:  # type: ignore[no-untyped-def]
    """The limb was said before the test it was said with."""
    start = min(target.spans)[0]
    for sentence in reading.sentences:
        for item in sentence.row:
            if item.start >= start and item.kind == "target":
                return bool(item.of_kind("site")) and not item.of_kind("test")
    return False


def end_on_other_side(resolver: Resolver, sentence: Sentence) -> None:
    """A lone "left" after "on the right" may be a new heading: the old one no longer holds."""
    held = resolver.holds.side
    for item in sentence.row:
        if item.kind == "side" and held is not None and item.of_kind("side")[0].id != held.id:
            resolver.holds.side = None


def strange_heads(sentence: Sentence) -> bool:
    """ "Pain: left arm reduced": a heading that nobody knows; what held before it is over.

    Args:
        sentence: One sentence of an utterance.
    """
    at = next((i for i, item in enumerate(sentence.row) if item.kind == "colon"), 0)
    before = [item for item in sentence.row[:at] if item.text[:1].isalpha()]
    named = {"target", "section", "side", "edge_site", "value", "grade", "repeat", "replace"}
    known = any(item.kind in named or item.others & {"exam", "section"} for item in before)
    return bool(before) and not known
