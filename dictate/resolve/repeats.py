"""The last run of findings again, on the other side."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement
from dictate.model import OTHER_SIDE, Side, UtteranceKind
from dictate.resolve.context import Hold
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def is_repeat(sentence: Sentence, st: Statement) -> bool:
    """ "Same on the other side", "left is the same", "and on the left"."""
    if st.link in {"except", "but"} or st.values or st.not_done or st.denied:
        return False
    if st.repeat:
        return not st.targets
    opens = (bool(sentence.row) and sentence.row[0].kind in {"and"}) or any(
        item.others & {"also"} for item in sentence.row[:3]
    )
    first = sentence.statements and sentence.statements[0] is st
    lone = st.lone_side and not (st.sections or st.unknown)
    return bool(lone and (st.side == "other" or (opens if first else st.link == "and")))


def repeat(
    resolver: Resolver,
    reading: Reading,
    sentence: Sentence,
    st: Statement,
    excepted: list[Statement],
) -> UtteranceKind:
    """Say the last run again for the side named, without what the exceptions name."""
    run = [entry for entry in resolver.run if entry in resolver.entries]
    sides = {entry.finding.side for entry in run}
    wanted: Side | None = st.side if st.side in ("right", "left") else None  # type: ignore[assignment]
    if wanted is None and len(sides) == 1:
        wanted = OTHER_SIDE.get(sides.pop() or "")
    if not run or (wanted is None and len(sides) != 2):
        resolver.ask_referent(reading, st)
        resolver.holds.side = None
        return "finding"
    if wanted is None:
        return "command"
    source = [entry for entry in run if entry.finding.side != wanted]
    spoken = tuple(place(reading, span) for span in st.spans) or (
        place(reading, (sentence.start, sentence.end)),
    )
    skip = _sites(excepted)
    resolver.run = []
    for entry in source:
        if entry.finding.site in skip:
            continue
        finding = replace(entry.finding, side=wanted, said=(*entry.finding.said, *spoken))
        resolver.add(reading, finding, entry.labels, "start", [])
    resolver.holds.item_side = Hold(wanted, spoken[0])
    if source:
        resolver.holds.item_test = Hold(source[-1].finding.test, source[-1].finding.said[0])
    resolver.holds.side = None  # another side was spoken; for what follows it must be said
    return "finding"


def _sites(excepted: list[Statement]) -> set[str]:
    return {term.id for st in excepted for target in st.targets for term in target.sites}
