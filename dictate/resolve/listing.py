"""What goes on after a full stop or a pause: "right deltoid four. Biceps four plus."."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.interpret.beside import forms
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Target
from dictate.resolve.context import Hold

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def goes_on_listing(resolver: Resolver, sentence: Sentence, earlier: Sequence[Sentence]) -> bool:
    """One more part of the same test, without a side, where the utterance spoke of one side alone.

    Args:
        resolver: The narration so far, with what the sentence before left holding.
        sentence: A sentence.
        earlier: Those of the utterance before it.
    """
    held, found = resolver.holds.item_side, resolver.last_taken
    if held is None or not (earlier and found) or earlier[-1].talk is not None:
        return False
    first = sentence.statements[0] if sentence.statements else None
    now = len(resolver.utterances)
    if first is None or found[-1].utterance != now or first.link != "start" or first.side:
        return False
    if not (first.targets and first.has_value) or sentence.talk is not None or first.unknown:
        return False
    rows = [item for one in earlier for item in one.row]
    said = {r.id for item in rows for r in item.of_kind("side")}
    said |= {r.side for item in rows if item.kind == "target" for r in item.readings if r.side}
    test = found[-1].finding.test
    return said == {held.id} and all(_part_of(resolver.grammar, test, t) for t in first.targets)


def _part_of(grammar: Grammar, test: str, target: Target) -> bool:
    """A part of the body that the test takes, and no whole arm or leg; no side is said of it."""
    limbs = grammar.groups["limb"].sites
    if target.side or target.both or target.signs or not target.sites:
        return False
    if any(r.plural or (r.group == "limb" and not limbs[r.id].part_of) for r in target.sites):
        return False
    named = {r.test for r in target.tests}
    takes = any(
        r.test == test or grammar.takes_site(test, r.group, r.id) for r in target.sites if r.id
    )
    return takes and (not named or test in named)


def test_of_it(resolver: Resolver, reading: Reading, sentence: Sentence) -> Hold | None:
    """ "At the knees it is reduced.", as an utterance of its own: the test found in the last one.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: Its first sentence.

    Returns:
        What holds for the sentence; nothing where it names a test, or nothing was just found.
    """
    found, now = resolver.last_taken, len(resolver.utterances)
    if sentence.talk is not None or not found or found[-1].utterance != now - 1:
        return None
    words = {(word,) for word in reading.norms((sentence.start, sentence.end))}
    names = [item for item in sentence.row if item.kind == "target"]
    if not names or not words & forms(resolver.grammar, "it"):
        return None
    tests = {entry.finding.test for entry in found}
    asked = any(pending.utterance == now - 1 for pending in resolver.pending)
    if asked or len(tests) != 1 or any(item.of_kind("test", "sign") for item in names):
        return None
    return Hold(tests.pop(), found[-1].finding.said[-1])
