"""One group of findings as a clause, one test as a sentence.

Every word of a clause comes from the grammar or from the finding's own details; the words of
this module only join them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.grammar import Grammar, schema
from dictate.grammar.details import arrange
from dictate.grammar.names import NOT_DONE, WHOLE, capital, listed, value_words
from dictate.grammar.places import Spot, by_pattern, seen, spot_of
from dictate.grammar.wording import fill_template, fits, own_template, with_details
from dictate.model import Finding
from dictate.render.excepting import except_open, hosts
from dictate.render.grouping import Group, group_findings
from dictate.render.open_places import OpenPlace


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence without its full stop, and the findings that it states."""

    text: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Clause:
    """``head`` is what later clauses of the same test need not say again."""

    head: str
    text: str
    findings: tuple[Finding, ...]


def write_test(
    grammar: Grammar, findings: Sequence[Finding], places: Sequence[OpenPlace] = ()
) -> tuple[Sentence, ...]:
    """Write the findings of one test.

    Args:
        grammar: Where the words come from.
        findings: Findings of one and the same test.
        places: Where questions are open, of any test.

    Returns:
        Sentences; clauses that open alike are joined by semicolons.
    """
    clauses = [
        clause
        for whole in group_findings(grammar, findings)
        for group in _apart(grammar, findings, whole, places)
        for clause in _clauses(
            grammar, group, except_open(grammar, findings, group.findings, places)
        )
    ]
    sentences: list[Sentence] = []
    head = None
    for clause in clauses:
        if clause.head and clause.head == head:
            last = sentences.pop()
            text = f"{last.text}; {clause.text[len(clause.head) :].strip()}"
            sentences.append(Sentence(text, (*last.findings, *clause.findings)))
        else:
            sentences.append(Sentence(capital(clause.text), clause.findings))
        head = clause.head
    return tuple(sentences)


def _apart(
    grammar: Grammar, findings: Sequence[Finding], group: Group, places: Sequence[OpenPlace]
) -> list[Group]:
    """What an open place lies inside apart from the rest, so that it stands after its own site."""
    inside = hosts(grammar, findings, group.findings, places)
    rest = tuple(finding for finding in group.findings if finding not in inside)
    if not inside or not rest:
        return [group]
    return [replace(group, findings=tuple(inside)), replace(group, findings=rest, exceptions=())]


def _clauses(grammar: Grammar, group: Group, unsettled: str) -> list[_Clause]:
    """A group as a clause; several where the template can hold only one kind of place."""
    test = group.findings[0].test
    spots = _spots(grammar, test, group)
    template = _template(grammar, test, group, spots)
    parts = [spots]
    if "{site}" in template or "{side}" in template:
        parts = [tuple(_unfold(p, s)) for p, s in by_pattern(grammar, test, spots).items()]
    if "{side}" in template:
        # a template with the side inside has no room for two ("deviates to the ...")
        parts = [
            tuple(spot for spot in part if spot.side == side)
            for part in parts
            for side in dict.fromkeys(spot.side for spot in part)
        ]
    after = _exceptions(grammar, test, group)
    after += unsettled.replace(", ", ", and ", 1) if after else unsettled
    head = template.split("{")[0].strip() if "{value}" in template else ""
    texts = [_write(grammar, test, group, template, part) for part in parts]
    findings = [_at(grammar, group, part) for part in parts]
    texts[-1] += after
    findings[-1] = (*findings[-1], *group.everything[len(group.findings) :])
    return [_Clause(head, text, said) for text, said in zip(texts, findings, strict=True)]


def _spots(grammar: Grammar, test: str, group: Group) -> tuple[Spot, ...]:
    return tuple(seen(grammar, test, spot_of(f), f.value) for f in group.findings)


def _unfold(pattern: str, spots: Sequence[Spot]) -> list[Spot]:
    if pattern != "both":
        return list(spots)
    return [Spot(s.site, side, s.said) for s in spots for side in ("right", "left")]


def _at(grammar: Grammar, group: Group, spots: Sequence[Spot]) -> tuple[Finding, ...]:
    test = group.findings[0].test
    return tuple(f for f in group.findings if seen(grammar, test, spot_of(f), f.value) in spots)


def _template(grammar: Grammar, test: str, group: Group, spots: tuple[Spot, ...]) -> str:
    """The sentence to fill: the value's, the test's, or one put together from the name."""
    spec, value = grammar.tests[test], group.values[0]
    own = own_template(spec, value)
    if own is not None and fits(own, True, spots):
        return own
    if spec.note is not None and fits(spec.note, False, spots):
        bare = spec.sites == "-" and spec.side == "none" and value not in NOT_DONE
        lonely = spec.note.startswith("{value}") and not bare
        return f"{spec.name} {spec.note}" if lonely else spec.note
    if value == spec.named:
        return f"{spec.name} {{where}}"
    if value == spec.denied and spec.named is not None:
        return f"no {spec.name} {{where}}"
    return f"{_opening(spec)} {{value}} {{where}}"


def _opening(spec: schema.Test) -> str:
    """What the test's template calls it, so that all of its clauses open alike."""
    opening, _, rest = (spec.note or "").partition("{")
    return opening.strip() if opening.strip() and rest.startswith("value}") else spec.name


def _write(
    grammar: Grammar, test: str, group: Group, template: str, spots: tuple[Spot, ...]
) -> str:
    edge = "" if "{site}" in template else _edge(grammar, test, group.detail, spots)
    rest = [detail for detail in group.detail if detail != edge]
    details = arrange(grammar, test, group.values[0], rest)
    value = listed([value_words(grammar, test, value) for value in group.values])
    if "{value}" not in template:
        template = with_details(grammar.tests[test], template, details)
    text = fill_template(grammar, template, test, spots, details.around(value), edge)
    return details.closing(text)


def _edge(grammar: Grammar, test: str, details: tuple[str, ...], spots: tuple[Spot, ...]) -> str:
    """The detail that words the place, if there is one."""
    return next((detail for detail in details if _is_edge(grammar, test, detail, spots)), "")


def _is_edge(grammar: Grammar, test: str, detail: str, spots: tuple[Spot, ...]) -> bool:
    """Whether a detail words the one site of the group ("up to the mid shin")."""
    sites = {spot.site for spot in spots}
    site = next(iter(sites))
    if len(sites) > 1 or site is None or site == WHOLE or any(spot.said for spot in spots):
        return False
    text = f" {detail.casefold()} "
    spec = grammar.sites_of(test)[site]
    opens = any(text.startswith(f" {word.casefold()} ") for word in grammar.speech.edge)
    return opens and any(f" {form.casefold()} " in text for form in (*spec.spoken, *spec.plural))


def _exceptions(grammar: Grammar, test: str, group: Group) -> str:
    """ ", except 4+/5 in left hip flexion"."""
    at = "{at}" if "{at}" in (grammar.tests[test].note or "") else "{where}"
    texts = [
        _write(grammar, test, inner, f"{{value}} {at}", _spots(grammar, test, inner))
        for inner in group.exceptions
    ]
    return f", except {listed(texts)}" if texts else ""
