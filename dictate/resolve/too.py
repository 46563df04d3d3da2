"""What was just found is found of something else as well: "the leg too", "left arm the same"."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.reader import Sentence
from dictate.interpret.statement import Statement
from dictate.resolve.context import Entry

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: What may stand between a name and the word that says "too".
_BETWEEN = frozenset({"glue", "comma", "and", "target", "side", "place"})
_JOINS = frozenset({"comma", "and"})


def says_too(sentence: Sentence, st: Statement, so_too: Collection[str]) -> bool:
    """ "The leg too", "biceps and triceps as well", "so are the legs": names, and "too".

    Args:
        sentence: The sentence.
        st: A statement of it that says nothing of what it names.
        so_too: Forms that say "too" before what is named.
    """
    spans = [span for target in st.targets for span in target.spans]
    if not spans or st.link == "heading":
        return False
    start, end = min(a for a, _ in spans), max(b for _, b in spans)
    row = [item for item in sentence.row if item.kind != "stop"]
    after = [item for item in row if item.start >= end]
    for i, item in enumerate(after):
        if "also" in item.others:
            return i + 1 == len(after) or _joined(after[i + 1 : i + 3])
        if item.kind not in _BETWEEN:
            return False
    before = [item for item in row if item.end <= start]
    so = any(item.kind == "repeat" and item.text in so_too for item in before)
    opened = _opens_with(before) or so
    return bool(before) and opened and all(x.kind in _BETWEEN for x in after)


def _joined(after: Sequence[Item]) -> bool:
    """A joining word, and no value after it."""
    return after[0].kind in _JOINS and after[-1].kind not in {"value", "grade"}


def _opens_with(before: Sequence[Item]) -> bool:
    """Nothing but "also" and words that join stands before it."""
    also = any("also" in item.others for item in before)
    return also and all(item.kind in _BETWEEN - {"target"} for item in before)


def just_found(resolver: Resolver, taken: Sequence[Entry]) -> list[Entry]:
    """What was found last in this sentence, or else in the one before, of one test.

    Returns:
        Nothing where that is of several tests, or was found long ago.
    """
    now = len(resolver.utterances)
    found = [
        entry
        for entry in (taken or resolver.last_taken)
        if entry.utterance >= now - 1 and any(entry is one for one in resolver.entries)
    ]
    if len({entry.finding.test for entry in found}) != 1:
        return []
    return [entry for entry in found if entry.finding.site == found[-1].finding.site]


def within(grammar: Grammar, entry: Entry, limbs: Collection[str]) -> bool:
    """A finding is of one of these limbs, or of a part of one."""
    found = entry.finding
    spec = grammar.sites_of(found.test).get(found.site or "")
    return found.site in limbs or (spec is not None and bool({*spec.part_of} & {*limbs}))
