"""The findings of one test as sentences, through the note templates of the grammar."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.wording import (
    WHOLE,
    capital,
    fill,
    is_grade,
    normal_word,
    shows,
    value_words,
)
from dictate.model import Finding
from dictate.render.grouping import Group, Spot, graded, group_findings
from dictate.render.places import Sides, joined, places, side_words, spot_name


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence of the note and the findings that it was made from."""

    text: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Clause:
    """A group in words. ``lead`` ("Strength") can be shared; None where the words stand alone."""

    lead: str | None
    body: str
    group: Group


def sentences(grammar: Grammar, findings: tuple[Finding, ...]) -> tuple[Sentence, ...]:
    """Say what was found in one test.

    Args:
        grammar: Where the words come from.
        findings: All findings of one test, at least one.

    Returns:
        Sentences with their full stops; together they are made from all of the findings.
    """
    clauses = [
        clause
        for group in group_findings(grammar, findings)
        for clause in _clauses(grammar, group)
    ]
    shared = [clause for clause in clauses if clause.lead is not None]
    alone = [clause for clause in clauses if clause.lead is None]
    made = [_together(grammar, shared)] if shared else []
    made += [Sentence(capital(clause.body) + ".", _findings(clause.group)) for clause in alone]
    # what is abnormal is not to stand behind what is normal
    return tuple(sorted(made, key=lambda sentence: _all_normal(sentence.findings)))


def _all_normal(findings: tuple[Finding, ...]) -> bool:
    return all(finding.normal is True for finding in findings)


def _findings(group: Group) -> tuple[Finding, ...]:
    inner = [finding for part in group.exceptions for finding in part.findings]
    return (*group.findings, *inner)


def _together(grammar: Grammar, clauses: list[_Clause]) -> Sentence:
    """Clauses of one test behind one lead, with the name of the scale where grades are used."""
    test = grammar.tests[clauses[0].group.test]
    lead = clauses[0].lead or ""
    scale = ""
    if test.scale and any(graded(grammar, clause.group) for clause in clauses):
        scale = f" ({grammar.scales[test.scale].name})"
    bodies = [clause.body for clause in clauses]
    if not scale and (len(bodies) == 1 or _one_thing(grammar, clauses)):
        named = lead or ("" if clauses[0].group.done else test.name)
        text = f"{named} {joined(bodies)}".strip()
    else:
        text = f"{lead or test.name}{scale}: {'; '.join(bodies)}"
    findings = tuple(one for clause in clauses for one in _findings(clause.group))
    return Sentence(capital(text) + ".", findings)


def _one_thing(grammar: Grammar, clauses: list[_Clause]) -> bool:
    """Whether all are words for one and the same thing ("gait wide-based and ataxic")."""
    here = (Spot(None, None, ()),)
    return all(
        clause.group.spots == here
        and clause.group.done
        and not clause.group.exceptions
        and not is_grade(grammar, clause.group.test, clause.group.value)
        for clause in clauses
    )


def _clauses(grammar: Grammar, group: Group) -> list[_Clause]:
    lead, template = _template(grammar, group)
    texts = _filled(grammar, template, group)
    detail = f" ({', '.join(group.detail)})" if group.detail else ""
    clauses = [_Clause(lead, text + detail, group) for text in texts]
    if not group.exceptions:
        return [_Clause(lead, joined([clause.body for clause in clauses]), group)]
    inner = [one for part in group.exceptions for one in _clauses(grammar, part)]
    rest = " and ".join(_small(one) for one in inner)
    body = f"{joined([clause.body for clause in clauses])}, except {rest}"
    return [_Clause(lead, body, group)]


def _small(clause: _Clause) -> str:
    """The words of an exception inside a sentence; a word in capitals keeps them."""
    body = clause.body
    return body if body[1:2].isupper() else body[:1].lower() + body[1:]


def _template(grammar: Grammar, group: Group) -> tuple[str | None, str]:
    """The lead and the rest of the template for a group; no lead for a sentence of its own."""
    test = grammar.tests[group.test]
    own = test.values[group.value].note if group.value in test.values else None
    if own is not None and _fits(own, group):
        return None, own
    general = test.note if test.note and "{value}" in test.note else None
    if general is not None and group.done and _fits(general, group):
        before, _, after = general.partition("{value}")
        return (None, general) if "{" in before else (before.strip(), "{value}" + after)
    if group.done and test.named is not None:
        if group.value == test.named:
            return None, capital(test.name) + " {where}"
        if group.value == test.denied:
            return None, f"No {test.name} {{where}}"
    return _lead(general, test.name), "{value} {where}"


def _lead(general: str | None, name: str) -> str:
    before = general.partition("{value}")[0] if general else ""
    return before.strip() if before.strip() and "{" not in before else capital(name)


def _fits(template: str, group: Group) -> bool:
    return all(
        shows(template, spot.site, spot.sides[0] if spot.sides else None) for spot in group.spots
    )


def _filled(grammar: Grammar, template: str, group: Group) -> list[str]:
    """One text for the group; one for each side where the template names side or site itself."""
    if "{side}" not in template and "{site}" not in template:
        return [_fill(grammar, template, group, group.spots)]
    by_sides: dict[Sides, list[Spot]] = {}
    for spot in group.spots:
        by_sides.setdefault(spot.sides, []).append(spot)
    return [_fill(grammar, template, group, tuple(spots)) for spots in by_sides.values()]


def _fill(grammar: Grammar, template: str, group: Group, spots: tuple[Spot, ...]) -> str:
    test = grammar.tests[group.test]
    grade = is_grade(grammar, group.test, group.value)
    # "tone normal" says no more with "throughout" behind it; a grade or an abnormal word does
    whole = grade or not normal_word(test, group.value)
    sides = spots[0].sides
    names = [spot_name(grammar, group.test, spot) for spot in spots if spot.site != WHOLE]
    text = fill(
        template,
        value=value_words(grammar, group.test, group.value),
        where=places(grammar, group.test, spots, "in", whole),
        at=places(grammar, group.test, spots, "at", whole),
        side=sides[0] if len(sides) == 1 else "",
        site=joined([name for name in names if name]),
    )
    if "{side}" in template and len(sides) == 2:
        text = f"{text} {side_words(sides)}"
    return text
