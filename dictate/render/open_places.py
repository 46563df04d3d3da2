"""Places that an open question is about: what is said of a group may not be true there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.names import listed
from dictate.grammar.places import Spot, place_words
from dictate.grammar.wording import target_label
from dictate.model import Finding, Question, Record, Side
from dictate.render.grouping import inside
from dictate.resolve.questions import wording

_SIDES: tuple[Side, ...] = ("right", "left")
#: What is said of a place where a question is open.
SETTLE = "to be settled"


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """A place of a test that a question is about; ``side_open``: which side is the question."""

    test: str
    spot: Spot
    side_open: bool = False


def open_places(record: Record, grammar: Grammar) -> tuple[OpenPlace, ...]:
    """The places that the record's open questions are about, each once, in order.

    Args:
        record: Whose questions; those that name no place of a test are left out.
        grammar: Knows the places, and how a question calls them.
    """
    tests = dict.fromkeys(finding.test for finding in record.findings)
    found: dict[OpenPlace, None] = {}
    for question in record.questions:
        places = _of_choices(question) or _of_prompt(question, grammar, tests)
        found |= dict.fromkeys(sorted(places, key=_order))
    return tuple(found)


def _of_choices(question: Question) -> list[OpenPlace]:
    """The places of its choices: those that all of them share, else the sites without a side."""
    places: list[OpenPlace] = []
    for test in dict.fromkeys(f.test for c in question.choices for f in c.findings):
        rows = [{_spot(f) for f in c.findings if f.test == test} for c in question.choices]
        rows = [row for row in rows if row]
        sure = set.intersection(*rows)
        places += [OpenPlace(test, spot) for spot in sure]
        sites = () if sure else {Spot(s.site, None, s.said) for row in rows for s in row}
        places += [OpenPlace(test, spot, True) for spot in sites]
    return places


def _of_prompt(question: Question, grammar: Grammar, tests: Iterable[str]) -> list[OpenPlace]:
    """A question whose choices find nothing yet names its place alone ("Deltoid strength: ...")."""
    asked = question.prompt.split("”. ")[-1].partition(":")[0].casefold()
    sides: tuple[Side | None, ...] = (None, *_SIDES)
    return [
        OpenPlace(test, Spot(site, side), side is None)
        for test in tests
        for site in (None, *grammar.sites_of(test))
        for side in sides
        if asked in _names(grammar, test, site, side)
    ]


def _names(grammar: Grammar, test: str, site: str | None, side: Side | None) -> set[str]:
    """How a question calls a place, with its test and, where no test was told, without."""
    called = [wording(grammar, test, site), *([wording(grammar, None, site)] if site else [])]
    return {f"{side} {name}".casefold() if side else name.casefold() for name in called}


def except_open(
    grammar: Grammar,
    findings: Sequence[Finding],
    group: Sequence[Finding],
    places: Iterable[OpenPlace],
) -> str:
    """What to add to a sentence about a group (", except in the left foot, to be settled").

    Args:
        grammar: Which sites belong to which, and their names.
        findings: All of one test.
        group: Those of them that the sentence states.
        places: Where questions are open.
    """
    test = group[0].test
    here = [
        place
        for place in places
        if place.test == test
        and any(wider in group for wider in _narrowest(grammar, place, findings))
    ]
    at = "at" if "{at}" in (grammar.tests[test].note or "") else "in"
    words = place_words(grammar, test, [place.spot for place in here], at)
    named = [words] if words else []
    if any(finding.normal is True for finding in group):
        named += [
            target_label(grammar, place.test, place.spot.site, place.spot.side)
            for place in places
            if place.test != test and place.test in parts_of(grammar, test)
        ]
    return f", except {listed(named)}, {SETTLE}" if named else ""


def summary_of(grammar: Grammar, test: str) -> str:
    """The test that sums up the area of a test; empty where there is none.

    A summary has the id of its area and knows two values, as it should be and not. A test with
    more words of its own may have its area's id and sums up nothing.
    """
    area = grammar.area_of(test)
    found = area.tests.get(area.area)
    return area.area if found is not None and len(found.values) == 2 else ""


def parts_of(grammar: Grammar, test: str) -> frozenset[str]:
    """The tests that a test sums up."""
    area = grammar.area_of(test).tests if summary_of(grammar, test) == test else ()
    return frozenset((*grammar.tests[test].covers, *area)) - {test}


def _spot(finding: Finding) -> Spot:
    return Spot(finding.site, finding.side, finding.site_said)


def _order(place: OpenPlace) -> tuple[str, str]:
    return (place.spot.site or "", place.spot.side or "")


def _narrowest(grammar: Grammar, place: OpenPlace, findings: Sequence[Finding]) -> list[Finding]:
    """The findings that the place lies inside, but for those around another one of them."""
    spot = place.spot
    sides: tuple[Side | None, ...] = _SIDES if place.side_open else (spot.side,)
    tried = [Finding(place.test, spot.site, side, "", site_said=spot.said) for side in sides]
    wider = [f for f in findings if any(inside(grammar, one, f) for one in tried)]
    return [
        one
        for one in wider
        if not any(inside(grammar, other, one) for other in wider if other is not one)
    ]
