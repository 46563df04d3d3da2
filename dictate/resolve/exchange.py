"""Right for left: "the other way round" said of findings that were just recorded."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.model import OTHER_SIDE, Change, Place, Question, UtteranceKind
from dictate.resolve import corrections
from dictate.resolve.context import Entry, Pending
from dictate.resolve.places import place
from dictate.resolve.several import said_once

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def exchange(resolver: Resolver, reading: Reading, item: Item) -> UtteranceKind:
    """Exchange the sides of what this utterance, or the one before it, gave so far.

    What cannot be exchanged in one way leaves the record and is asked about once.

    Args:
        resolver: The narration.
        reading: The utterance that asks for it.
        item: Its words that do.
    """
    here = place(reading, (item.start, item.end))
    entries, open_ = _just_said(resolver, here)
    if not entries and not open_:
        return "remark"
    values: dict[tuple[str, str | None], dict[str, str]] = {}
    for entry in entries:
        found = entry.finding
        values.setdefault((found.test, found.site), {})[found.side or ""] = found.value
    paired = {key for key, sides in values.items() if len(sides) == 2}
    differ = any(len(set(values[key].values())) == 2 for key in paired)
    meant = [e for e in entries if (e.finding.test, e.finding.site) in paired] if paired else []
    last = [e for e in entries if e.statement == max(x.statement for x in entries)]
    if not open_ and differ and (len(paired) == 1 or _in_two_runs(meant)):
        _turn(resolver, meant, here)
    elif not open_ and not paired and len(last) == len(entries) == _of_one_side(last):
        _turn(resolver, last, here)
    elif not open_ and not paired and (row := _repaired(resolver, item, entries, last)):
        _turn(resolver, row, here)
    else:
        _ask(resolver, reading, entries, open_, here)
        return "finding"
    return "command"


def _repaired(
    resolver: Resolver, item: Item, entries: list[Entry], last: list[Entry]
) -> list[Entry]:
    """ "Right deltoid four, right biceps three, wrong side": in one breath, it is of the last.

    Where one word for a side stood before a list, it is of all of it. Nothing where several sides
    are spoken of, or where the list was said before.
    """
    one = any(word in resolver.grammar.classes.get("one_side", ()) for word in item.text.split())
    if not one or not _of_one_side(last):
        return []
    at = last[-1].utterance
    now = at == len(resolver.utterances)
    text = resolver.text if now else resolver.utterances[at].text
    if said_once(resolver.grammar, text):
        return entries if _of_one_side(entries) else []
    one_thing = len({(e.finding.test, e.finding.site) for e in last}) == 1
    return last if now and one_thing else []


def _of_one_side(entries: list[Entry]) -> int:
    """How many there are, if all are of one side; 0 where they are not."""
    return len(entries) if len({e.finding.side for e in entries}) == 1 else 0


def _just_said(resolver: Resolver, here: Place) -> tuple[list[Entry], list[Pending]]:
    """Findings with a side, and open questions, of the last utterance that gave any."""
    now = len(resolver.utterances)
    for number in (now, now - 1):
        entries = [
            entry
            for entry in resolver.entries
            if entry.utterance == number
            and entry.finding.side
            and _before(entry.finding.said, here)
        ]
        open_ = [
            pending
            for pending in resolver.pending
            if pending.utterance == number and _before(pending.question.about, here)
        ]
        if entries or open_:
            return entries, open_
    return [], []


def _before(places: tuple[Place, ...], here: Place) -> bool:
    """Said before the words that ask for the exchange."""
    return any(p.utterance != here.utterance or p.start < here.start for p in places)


def _in_two_runs(entries: list[Entry]) -> bool:
    """All of one side, then all of the other: the exchange is of the two lists."""
    sides = [entry.finding.side for entry in entries]
    return sum(a != b for a, b in pairwise(sides)) == 1


def _turn(resolver: Resolver, entries: list[Entry], here: Place) -> None:
    for entry in entries:
        old = entry.finding
        resolver.history.append(Change("corrected", resolver.hearing, old))
        side = OTHER_SIDE[old.side or ""]
        entry.finding = replace(old, side=side, said=(*old.said, here))


def _ask(
    resolver: Resolver, reading: Reading, entries: list[Entry], open_: list[Pending], here: Place
) -> None:
    about = tuple(dict.fromkeys([*(p for e in entries for p in e.finding.said), here]))
    for entry in entries:
        corrections.remove(resolver, entry, "corrected")
    for pending in open_:
        resolver.pending.remove(pending)
        resolver.history.append(Change("corrected", resolver.hearing, question=pending.question))
        about = tuple(dict.fromkeys([*pending.question.about, *about]))
    said = reading.utterance.text[here.start : here.end]
    prompt = f"“{said}”: what is right, and what is left?"
    resolver.open_question(Question("", "referent", about, prompt), reading)
