"""Places that an open question is about: what is said of a group may not be true there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from dictate.grammar import Grammar
from dictate.grammar.names import WHOLE
from dictate.grammar.places import Spot
from dictate.model import Finding, Place, Question, Record, Side
from dictate.resolve.questions import wording

_SIDES: tuple[Side, ...] = ("right", "left")


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """A place of a test that a question is about; ``side_open``: which side is the question.

    ``values``: what may be found there, where that is known. ``words``: a place that the grammar
    does not know, as it was said; ``since``, ``until``: what its ``utterance`` says before the
    exception, in characters.
    """

    test: str
    spot: Spot
    side_open: bool = False
    values: frozenset[str] = frozenset()
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
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    found: dict[OpenPlace, None] = {}
    for question in record.questions:
        places = _of_choices(question) or _of_prompt(question, grammar, record)
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
        values = frozenset(f.value for c in question.choices for f in c.findings if f.test == test)
        places += [OpenPlace(test, spot, values=values) for spot in sure]
        sites = {(spot.site, spot.said) for row in rows for spot in row}
        if not sure and len(sites) == 1:  # several: where it is, is the very question
            site, said = sites.pop()
            places.append(OpenPlace(test, Spot(site, None, said), True, values))
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
                places.append(
                    OpenPlace(
                        "", Spot(None), False, frozenset(), words, place.utterance, since, until
                    )
                )
    return places


def _of_prompt(question: Question, grammar: Grammar, record: Record) -> list[OpenPlace]:
    """A question whose choices find nothing yet names its place alone ("Deltoid strength: ...").

    Where it names no test ("Right biceps: ..."), the test is the one that was spoken of last.
    """
    asked = question.prompt.split("”. ")[-1].partition(":")[0].casefold()
    tests = _spoken_before(question, record)
    places = [place for place in _called(grammar).get(asked, ()) if place.test in tests]
    latest = max((tests.index(place.test) for place in places), default=0)
    return [place for place in places if place.test == tests[latest]]


def _spoken_before(question: Question, record: Record) -> list[str]:
    """The tests of the record's findings, those that were spoken of last before it at the end."""
    order = {utterance.id: number for number, utterance in enumerate(record.utterances)}

    def at(place: Place) -> tuple[int, int]:
        return (order.get(place.utterance, -1), place.start)

    asked = min(map(at, question.about), default=(len(order), 0))
    latest: dict[str, tuple[int, int]] = {}
    for finding in record.findings:
        before = [at(place) for place in finding.said if at(place) <= asked]
        latest[finding.test] = max([latest.get(finding.test, (-1, -1)), *before])
    return sorted(latest, key=lambda test: latest[test])


@lru_cache(maxsize=4)
def _called(grammar: Grammar) -> dict[str, list[OpenPlace]]:
    """Every place by how a question calls it: with its test and, where none was told, without."""
    found: dict[str, list[OpenPlace]] = {}
    sides: tuple[Side | None, ...] = (None, *_SIDES)
    for test in grammar.tests:
        for site in (None, *grammar.sites_of(test)):
            # of the whole, the question is what holds there, and not on which side
            sided = site not in (None, WHOLE) and not grammar.sites_of(test)[site].unsided
            names = {wording(grammar, test, site)}
            if any(site in group.sites for group in grammar.groups.values()):
                names.add(wording(grammar, None, site))
            for side in sides:
                for name in names:
                    place = OpenPlace(test, Spot(site, side), side is None and sided)
                    called = f"{side} {name}" if side else name
                    found.setdefault(called.casefold(), []).append(place)
    return found


def _spot(finding: Finding) -> Spot:
    return Spot(finding.site, finding.side, finding.site_said)


def _order(place: OpenPlace) -> tuple[str, str]:
    return (place.spot.site or "", place.spot.side or "")
