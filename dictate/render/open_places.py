"""Places that an open question is about: what is said of a group may not be true there."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.names import WHOLE, listed
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
    """A place of a test that a question is about; ``side_open``: which side is the question.

    ``words``: a place that the grammar does not know, as it was said, and ``utterance`` in which.
    """

    test: str
    spot: Spot
    side_open: bool = False
    words: str = ""
    utterance: str = ""


def open_places(record: Record, grammar: Grammar) -> tuple[OpenPlace, ...]:
    """The places that the record's open questions are about, each once, in order.

    Args:
        record: Whose questions; those that name no place of a test, and except nothing in so many
            words, are left out.
        grammar: Knows the places, and how a question calls them.
    """
    tests = dict.fromkeys(finding.test for finding in record.findings)
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    found: dict[OpenPlace, None] = {}
    for question in record.questions:
        places = _of_choices(question) or _of_prompt(question, grammar, tests)
        places = places or _of_words(question, grammar, texts)
        found |= dict.fromkeys(sorted(places, key=_order))
    return tuple(found)


def _of_choices(question: Question) -> list[OpenPlace]:
    """The places of its choices: those that all of them share, else the site without a side."""
    places: list[OpenPlace] = []
    for test in dict.fromkeys(f.test for c in question.choices for f in c.findings):
        rows = [{_spot(f) for f in c.findings if f.test == test} for c in question.choices]
        rows = [row for row in rows if row]
        sure = set.intersection(*rows)
        places += [OpenPlace(test, spot) for spot in sure]
        sites = {(spot.site, spot.said) for row in rows for spot in row}
        if not sure and len(sites) == 1:  # several: where it is, is the very question
            site, said = sites.pop()
            places.append(OpenPlace(test, Spot(site, None, said), True))
    return places


def _of_words(question: Question, grammar: Grammar, texts: Mapping[str, str]) -> list[OpenPlace]:
    """A place that nobody knows, where the words say that it is an exception ("but the ...")."""
    said = (*grammar.speech.exception, *grammar.speech.contrast)
    excepts = "|".join(re.escape(word) for word in sorted(said, key=len, reverse=True))
    articles = "|".join(map(re.escape, grammar.speech.article))
    opening = re.compile(rf"\b(?:{excepts})\s+(?:(?:{articles})\s+)?", re.IGNORECASE)
    places = []
    for place in question.about:
        text = texts.get(place.utterance, "")
        ends = [match.end() for match in opening.finditer(text, 0, place.end)]
        # the exception opens the place, or stands inside it
        if excepts and ends and ends[-1] >= place.start:
            words = " ".join(text[ends[-1] : place.end].split())
            if words:
                places.append(OpenPlace("", Spot(None), False, words, place.utterance))
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
    at = "at" if "{at}" in (grammar.tests[test].note or "") else "in"
    words = place_words(grammar, test, [place.spot for place in here], at)
    named = [words] if words else []
    named += [f'"{place.words}"' for place in places if _excepts_by_words(grammar, group, place)]
    if any(finding.normal is True for finding in group):
        named += [
            target_label(grammar, place.test, place.spot.site, place.spot.side)
            for place in places
            if place.test != test and place.test in parts_of(grammar, test)
        ]
    return f", except {listed(named)}, {SETTLE}" if named else ""


def _excepts_by_words(grammar: Grammar, group: Sequence[Finding], place: OpenPlace) -> bool:
    """Whether the words except something from what the same utterance said of the whole."""
    wide = {site for spec in grammar.sites_of(group[0].test).values() for site in spec.part_of}
    return bool(place.words) and any(
        finding.site in {None, WHOLE, *wide}
        and any(said.utterance == place.utterance for said in finding.said)
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


def _spot(finding: Finding) -> Spot:
    return Spot(finding.site, finding.side, finding.site_said)


def _order(place: OpenPlace) -> tuple[str, str]:
    return (place.spot.site or "", place.spot.side or "")


def _narrowest(grammar: Grammar, place: OpenPlace, findings: Sequence[Finding]) -> list[Finding]:
    """The findings that the place lies inside, but for those around another one of them."""
    spot = place.spot
    sides: tuple[Side | None, ...] = _SIDES if place.side_open else (spot.side,)
    if any(f.site == spot.site and f.side in sides for f in findings):
        return []  # that very place has its own finding
    tried = [Finding(place.test, spot.site, side, "", site_said=spot.said) for side in sides]
    wider = [f for f in findings if any(inside(grammar, one, f) for one in tried)]
    return [
        one
        for one in wider
        if not any(inside(grammar, other, one) for other in wider if other is not one)
    ]
