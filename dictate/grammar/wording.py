"""What a finding is called: short phrases for captions, questions and the terminal.

The words come from the grammar (names of tests and sites, ``reads``, the scales' ``note``); this
module knows only how English puts them together. A phrase never says more than its finding.
"""

from __future__ import annotations

from dictate.grammar import schema
from dictate.grammar.details import Details, arrange
from dictate.grammar.load import Grammar
from dictate.grammar.names import NOT_DONE, WHOLE, capital, fill, is_grade, site_words, value_words
from dictate.grammar.places import Spot, by_pattern, names_of, place_words, seen
from dictate.model import Finding, Side


def finding_phrase(grammar: Grammar, finding: Finding) -> str:
    """Name a finding in a few words, with its details ("Right biceps 4+/5").

    Args:
        grammar: Where the words come from.
        finding: Any finding of a test of the grammar.

    Returns:
        One phrase without a full stop, its first letter a capital.
    """
    spot = Spot(finding.site, finding.side, finding.site_said)
    details = arrange(grammar, finding.test, finding.value, finding.detail)
    return details.closing(_label(grammar, finding.test, spot, finding.value, details))


def finding_label(
    grammar: Grammar, test: str, site: str | None, side: Side | None, value: str | None = None
) -> str:
    """Name a test at a place, with or without a value ("Left plantar response").

    Args:
        grammar: Where the words come from.
        test: Id of the test.
        site: Id of the site, if any.
        side: The side, if any.
        value: The value; left out, only what it would be a value of is named.

    Returns:
        One phrase without a full stop, its first letter a capital.
    """
    return _label(grammar, test, Spot(site, side), value)


def target_label(grammar: Grammar, test: str, site: str | None, side: Side | None) -> str:
    """Name what a value would be a value of ("right biceps strength").

    Args:
        grammar: Where the words come from.
        test: Id of the test.
        site: Id of the site, if any.
        side: The side, if any.

    Returns:
        Words that fit inside a sentence: no capital of their own, no full stop.
    """
    return _noun(grammar, test, Spot(site, side), None)


def _label(
    grammar: Grammar, test: str, spot: Spot, value: str | None, details: Details | None = None
) -> str:
    spec, details = grammar.tests[test], details or Details()
    if value is not None and value not in NOT_DONE:
        own = own_template(spec, value)
        template = own or _whole_template(spec, spot)
        if template is not None and fits(template, own is not None, (spot,)):
            template = with_details(spec, template, details)
            spots = (seen(grammar, test, spot, value),)
            words = details.around(value_words(grammar, test, value))
            return capital(fill_template(grammar, template, test, spots, words))
    words = _noun(grammar, test, spot, value)
    if details.noun is not None:
        words = f"{words.removesuffix(spec.name)}{details.noun}"
    if value is None or value == spec.named:
        return capital(details.around(words))
    if value == spec.denied and spec.named is not None:
        return f"No {details.around(words)}"
    whole = spot.site == WHOLE and spot.side is None and value not in NOT_DONE
    throughout = place_words(grammar, test, [seen(grammar, test, spot, value)]) if whole else ""
    found = details.around(value_words(grammar, test, value))
    return capital(f"{words} {found} {throughout}".rstrip())


def with_details(test: schema.Test, template: str, details: Details) -> str:
    """A template with the details that its value has no room for.

    Args:
        test: The test that it is of.
        template: A value's own sentence, or the test's.
        details: What was said beside the value.
    """
    if "{value}" in template:
        return template
    start = template.casefold().find(test.name.casefold())
    rest = template[start + len(test.name) :] if start >= 0 else ""
    after = ", ".join(details.after)
    name = details.noun or (template[start : len(template) - len(rest)] if start >= 0 else "")
    if start < 0 and details.noun is not None:
        template = f"{template} ({details.noun})"
    elif start >= 0 and rest.lstrip()[:1] in ("", "{"):
        template = f"{template[:start]}{name} {after}".rstrip() + rest
        after = ""
    elif start >= 0:
        template = f"{template[:start]}{name}{rest}"
    template = f"{template} {after}".rstrip()
    return f"{template} ({', '.join(details.before)})" if details.before else template


def own_template(test: schema.Test, value: str) -> str | None:
    """The value's own sentence, if the grammar has one."""
    return test.values[value].note if value in test.values else None


def fits(template: str, own: bool, spots: tuple[Spot, ...]) -> bool:
    """Whether a template says all that there is to say of these places.

    Args:
        template: A note template of a test or value.
        own: Whether it is the value's own sentence, which may do without the value.
        spots: Where the findings are.

    Returns:
        False where the value, a site or a side would be lost, or a site is asked for in vain.
    """
    if not own and "{value}" not in template:
        return False
    sites = [spot.site for spot in spots if spot.site not in (None, WHOLE)]
    if "{site}" in template and len(sites) < len(spots):
        return False
    if "{where}" in template or "{at}" in template:
        return True
    sides = [spot.side for spot in spots if spot.side]
    return ("{site}" in template or not sites) and ("{side}" in template or not sides)


def fill_template(
    grammar: Grammar, template: str, test: str, spots: tuple[Spot, ...], value: str, edge: str = ""
) -> str:
    """Write a template out for places; where it names sites or sides, all must be put alike.

    Args:
        grammar: Where the words come from.
        template: With {value}, {where}, {at}, {side} and {site}; beside {site}, {where} gives
            the side alone.
        test: Id of the test.
        spots: Where the findings are.
        value: The value as it is to be written.
        edge: Words that stand for the site ("up to the mid shin").
    """
    if "{site}" in template or edge:
        around = place_words(grammar, test, [Spot(None, spot.side) for spot in spots])
        where = at = f"{edge} {around}".strip()
    else:
        where = place_words(grammar, test, spots, "in")
        at = place_words(grammar, test, spots, "at")
    pattern, alike = next(iter(by_pattern(grammar, test, spots).items()))
    site = names_of(grammar, test, alike, plural=pattern == "both")
    side = pattern if pattern in ("both", "right", "left") else ""
    return fill(template, value=value, where=where, at=at, side=side, site=site)


def _whole_template(test: schema.Test, spot: Spot) -> str | None:
    """The test's sentence where there is no place that could be put in front."""
    return test.note if spot.site is None and spot.side is None else None


def _noun(grammar: Grammar, test: str, spot: Spot, value: str | None) -> str:
    """Side, site and test, without the test where the grade itself tells it ("biceps 4+/5")."""
    spec = grammar.tests[test]
    words: list[str] = [spot.side] if spot.side else []
    if spot.site is None or spot.site == WHOLE:
        return " ".join([*words, spec.name])
    words.append(site_words(grammar, test, spot.site, spot.said))
    group = any(spot.site in other.part_of for other in grammar.sites_of(test).values())
    if spec.after_site and not group:
        words.append(spec.after_site[0])
    elif value is None or not _tells_scale(grammar, test, value):
        words.append(spec.name)
    return " ".join(words)


def _tells_scale(grammar: Grammar, test: str, value: str) -> bool:
    scale = grammar.tests[test].scale
    if scale is None or not is_grade(grammar, test, value):
        return False
    note = grammar.scales[scale].note
    return note != "{grade}" and not any(letter.isalpha() for letter in note.replace("{grade}", ""))
