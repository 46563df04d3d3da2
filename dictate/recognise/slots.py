"""What stands in the slots of an order of words: the forms of the grammar, by kind and by test."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.phrasing import shared_slots
from dictate.grammar.schema import Scale, Site, Test
from dictate.recognise.spoken import Speaker

Forms = tuple[str, ...]
#: Forms of the sets of common/values.yaml that a value is tried with; the sets are the same for
#: all tests, so each test needs only some.
_OF_A_SET = 3


@dataclass(frozen=True, slots=True)
class SiteSlots:
    """The sites that some tests share. ``sided`` tells which forms take a side."""

    site: Forms
    sites: Forms
    unsided: frozenset[str]


def site_slots(sites: Iterable[Site]) -> SiteSlots:
    """Collect the names of sites."""
    one: list[str] = []
    both: list[str] = []
    unsided: set[str] = set()
    for site in sites:
        names = [*site.spoken, *(form for forms in site.keeps.values() for form in forms)]
        one += names
        both += site.plural
        if site.unsided:
            unsided.update(names)
    return SiteSlots(_once(one), _once(both), frozenset(unsided))


def with_side_forms(sites: Iterable[Site]) -> Iterator[str]:
    """Abbreviations that hold a side and a site."""
    for site in sites:
        for side in (site.with_side.right, site.with_side.left, site.with_side.both):
            yield from side


def of_test(grammar: Grammar, test: Test, speaker: Speaker) -> dict[str, Forms]:
    """The forms of one test, by slot; sites are left out, since many tests share them."""
    own = [form for value in test.values.values() for form in value.spoken]
    for name, value in test.values.items():
        for words in value.sets if value.sets is not None else (name,):
            own += grammar.sets.get(words, ())[:_OF_A_SET]
    scale = grammar.scales[test.scale] if test.scale else None
    return {
        "test": test.spoken or test.plural,
        "tests": test.plural,
        "jerk": test.after_site,
        "jerks": test.after_site_plural,
        "value": _once(own),
        "sign": _once(form for value in test.values.values() for form in value.alone),
        "detail": _once(form for forms in test.details.values() for form in forms),
        "direction": test.directions,
        "grade": _once(_grades(scale, speaker)) if scale else (),
    }


def all_forms(grammar: Grammar, speaker: Speaker) -> Iterator[str]:
    """Every form of the grammar that may be said."""
    for group in grammar.groups.values():
        yield from _site_forms(group.sites.values())
    for test in grammar.tests.values():
        slots = of_test(grammar, test, speaker)
        yield from (form for forms in slots.values() for form in forms)
        yield from test.plural
        if isinstance(test.sites, dict):
            yield from _site_forms(test.sites.values())
        for count in test.counts:
            number = next(speaker.cardinal(int(count)), ()) if count.isdigit() else (count,)
            for form in ("times #", *test.counted_as):
                yield from (form.replace("#", said) for said in (" ".join(number), count))
    for scale in grammar.scales.values():
        yield from (form for part in scale.parts.values() for form in part.spoken)
        yield from (form for forms in scale.words.values() for form in forms)
        yield from scale.unit.spoken if scale.unit else ()
    for forms in grammar.sets.values():
        yield from forms
    for forms in shared_slots(grammar).values():
        yield from forms


def _site_forms(sites: Iterable[Site]) -> Iterator[str]:
    sites = tuple(sites)
    slots = site_slots(sites)
    yield from (*slots.site, *slots.sites, *with_side_forms(sites))


def _grades(scale: Scale, speaker: Speaker) -> Iterator[str]:
    """What is said for the grades and numbers of a scale."""
    yield from (form for forms in scale.words.values() for form in forms)
    if scale.kind == "grades":
        yield from scale.grades
        yield from (grade for grade in scale.grades if scale.bare_plus and grade.strip("+-"))
        yield from (f"{grade}/{scale.of}" for grade in scale.grades if scale.of)
    elif scale.kind == "acuity":
        lines = scale.second
        yield from (f"{scale.first[n % 2]}/{line}" for n, line in enumerate(lines))
    else:
        low, high = int(scale.low or 0), int(scale.high or 0)
        whole = [str(number) for number in range(max(low, 0), high + 1)]
        units = [f" {form}" for form in scale.unit.spoken] if scale.unit else [""]
        yield from (f"{number}{units[n % len(units)]}" for n, number in enumerate(whole))
        yield from _parts(scale)


def _parts(scale: Scale) -> Iterator[str]:
    for part in scale.parts.values():
        for form in part.spoken:
            yield from (f"{form} {grade}" for grade in range(part.low, part.high + 1))


def _once(forms: Iterable[str]) -> Forms:
    return tuple(dict.fromkeys(forms))
