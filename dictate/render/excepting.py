"""What an open question excepts from a sentence about a group."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.grammar import Grammar
from dictate.grammar.names import WHOLE, listed
from dictate.grammar.places import place_words
from dictate.grammar.wording import target_label
from dictate.model import Finding, Side
from dictate.render.grouping import inside
from dictate.render.open_places import OpenPlace

#: What is said of a place where a question is open.
SETTLE = "to be settled"
_SIDES: tuple[Side, ...] = ("right", "left")


def hosts(
    grammar: Grammar,
    findings: Sequence[Finding],
    group: Sequence[Finding],
    places: Iterable[OpenPlace],
) -> list[Finding]:
    """Those of a group that an open place lies inside; the sentence on them says so.

    Args:
        grammar: Which sites belong to which.
        findings: All of one test.
        group: Those of them that are said together.
        places: Where questions are open.
    """
    own = [place for place in places if place.test == group[0].test]
    around = [finding for place in own for finding in _narrowest(grammar, place, findings)]
    names = {(finding.site, finding.site_said) for finding in around if finding in group}
    return [finding for finding in group if (finding.site, finding.site_said) in names]


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
    own = [place for place in places if place.test == test]
    here = [p for p in own if any(f in group for f in _narrowest(grammar, p, findings))]
    named = _places(grammar, test, here)
    named += [f'"{place.words}"' for place in places if _excepts_by_words(grammar, group, place)]
    if any(finding.normal is True for finding in group):
        named += [
            target_label(grammar, place.test, place.spot.site, place.spot.side)
            for place in places
            if place.test != test and place.test in parts_of(grammar, test)
        ]
    return f", except {listed(named)}, {SETTLE}" if named else ""


def _places(grammar: Grammar, test: str, places: Sequence[OpenPlace]) -> list[str]:
    note = grammar.tests[test].note or ""
    if "{site}" in note:  # where the site is the subject, it is named with its test
        return [target_label(grammar, test, p.spot.site, p.spot.side) for p in places]
    whole = [place for place in places if place.spot.site in (None, WHOLE) and not place.spot.side]
    spots = [place.spot for place in places if place not in whole]
    words = place_words(grammar, test, spots, "at" if "{at}" in note else "in")
    return [*([words] if words else []), *(["on one side"] if whole else [])]


def _excepts_by_words(grammar: Grammar, group: Sequence[Finding], place: OpenPlace) -> bool:
    """Whether the words except something from what their sentence said of the whole."""
    return bool(place.words) and any(
        finding.site in (None, WHOLE)
        and finding.normal is not False
        and any(
            said.utterance == place.utterance and place.since <= said.start < place.until
            for said in finding.said
        )
        for finding in group
    )


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


def _narrowest(grammar: Grammar, place: OpenPlace, findings: Sequence[Finding]) -> list[Finding]:
    """The findings that the place lies inside, but for those around another one of them."""
    spot = place.spot
    sides: tuple[Side | None, ...] = _SIDES if place.side_open else (spot.side,)
    if any(f.site == spot.site and f.side in sides for f in findings):
        return []  # that very place has its own finding
    tried = [Finding(place.test, spot.site, side, "", site_said=spot.said) for side in sides]
    wider = [
        finding
        for finding in findings
        # whatever is answered, it is what the wider finding says
        if place.values != {finding.value} and any(inside(grammar, one, finding) for one in tried)
    ]
    return [
        one
        for one in wider
        if not any(inside(grammar, other, one) for other in wider if other is not one)
    ]
