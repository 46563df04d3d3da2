"""Places that an open question is about: what is said of a group may not be true there."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

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

    ``words``: a place that the grammar does not know, as it was said; ``since``, ``until``: what
    its ``utterance`` says before the exception, in characters.
    """

    test: str
    spot: Spot
    side_open: bool = False
    words: str = ""
    utterance: str = ""
    since: int = 0
    until: int = 0


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
        found = [*opening.finditer(text, 0, place.end)] if excepts else []
        # the exception opens the place, or stands inside it
        if found and found[-1].end() >= place.start:
            until = found[-1].start()
            words = " ".join(text[found[-1].end() : place.end].split())
            since = max(text.rfind(stop, 0, until) for stop in (". ", "; ")) + 1
            if words:
                there = OpenPlace("", Spot(None), False, words, place.utterance, since, until)
                places.append(there)
    return places


def _of_prompt(question: Question, grammar: Grammar, tests: Iterable[str]) -> list[OpenPlace]:
    """A question whose choices find nothing yet names its place alone ("Deltoid strength: ...")."""
    asked = question.prompt.split("”. ")[-1].partition(":")[0].casefold()
    return [place for place in _called(grammar).get(asked, ()) if place.test in tests]


@lru_cache(maxsize=4)
def _called(grammar: Grammar) -> dict[str, list[OpenPlace]]:
    """Every place by how a question calls it: with its test and, where none was told, without."""
    found: dict[str, list[OpenPlace]] = {}
    sides: tuple[Side | None, ...] = (None, *_SIDES)
    for test in grammar.tests:
        for site in (None, *grammar.sites_of(test)):
            names = {wording(grammar, test, site)}
            if any(site in group.sites for group in grammar.groups.values()):
                names.add(wording(grammar, None, site))
            for side in sides:
                for name in names:
                    place = OpenPlace(test, Spot(site, side), side is None)
                    called = f"{side} {name}" if side else name
                    found.setdefault(called.casefold(), []).append(place)
    return found


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
