"""Findings of one test that say the same, put together; exceptions with what they except from.

Nothing is dropped and nothing added: each finding is in exactly one group or exception.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from dictate.grammar import Grammar
from dictate.grammar.names import NOT_DONE, WHOLE, is_grade
from dictate.model import Finding


@dataclass(frozen=True, slots=True)
class Group:
    """Findings with the same values and detail, and the exceptions from them.

    ``values`` are several only where they are said of one and the same thing.
    """

    findings: tuple[Finding, ...]
    values: tuple[str, ...]
    detail: tuple[str, ...]
    exceptions: tuple[Group, ...] = ()

    @property
    def everything(self) -> tuple[Finding, ...]:
        """The group's own findings, then those of its exceptions."""
        inner = [finding for group in self.exceptions for finding in group.everything]
        return (*self.findings, *inner)


_Key = tuple[str, tuple[str, ...], bool | None]


def rank(finding: Finding) -> int:
    """Where a finding stands: 0 abnormal, 1 neither, 2 normal, 3 not done."""
    if finding.value in NOT_DONE:
        return 3
    return (False, None, True).index(finding.normal)


def group_findings(grammar: Grammar, findings: Sequence[Finding]) -> tuple[Group, ...]:
    """Group the findings of one test.

    Args:
        grammar: Which sites belong to which.
        findings: Findings of one test, at least one, in any order.

    Returns:
        Groups with exceptions first, then by rank.
    """
    plain: dict[_Key, list[Finding]] = {}
    excepted: dict[tuple[_Key, _Name], _Parts] = {}
    for finding in findings:
        wider = _container(grammar, finding, findings)
        held = plain if wider is None else excepted.setdefault((_key(wider), _name(wider)), {})
        held.setdefault(_key(finding), []).append(finding)
    groups = [
        replace(_group(part), exceptions=_sorted(map(_group, found.values())))
        for key, here in plain.items()
        for part, found in _apart(
            here, {name: e for (of, name), e in excepted.items() if of == key}
        )
    ]
    return _sorted(_one_thing(grammar, groups))


_Name = tuple[str | None, str | None]
_Parts = dict[_Key, list[Finding]]


def _of(excepted: dict[tuple[_Key, _Name], _Parts], key: _Key) -> dict[_Name, _Parts]:
    return {name: parts for (wider, name), parts in excepted.items() if wider == key}


def _name(finding: Finding) -> _Name:
    return (finding.site, finding.site_said)


def _apart(
    findings: list[Finding], excepted: dict[_Name, _Parts]
) -> Iterator[tuple[list[Finding], _Parts]]:
    """Each site with its own exceptions, so that none stands after another site."""
    for name, found in excepted.items():
        yield [finding for finding in findings if _name(finding) == name], found
    rest = [finding for finding in findings if _name(finding) not in excepted]
    if rest:
        yield rest, {}


def _key(finding: Finding) -> _Key:
    return (finding.value, finding.detail, finding.normal)


def _group(findings: Sequence[Finding]) -> Group:
    return Group(tuple(findings), (findings[0].value,), findings[0].detail)


def _sorted(groups: Iterable[Group]) -> tuple[Group, ...]:
    return tuple(sorted(groups, key=lambda group: (not group.exceptions, rank(group.findings[0]))))


def _one_thing(grammar: Grammar, groups: Sequence[Group]) -> list[Group]:
    """Join words for one and the same thing ("wide-based and ataxic")."""
    joined: list[Group] = []
    for group in groups:
        for index, other in enumerate(joined):
            if _joins(grammar, group) and _joins(grammar, other) and _same(group, other):
                joined[index] = replace(
                    other,
                    findings=(*other.findings, *group.findings),
                    values=(*other.values, *group.values),
                )
                break
        else:
            joined.append(group)
    return joined


def _joins(grammar: Grammar, group: Group) -> bool:
    test = group.findings[0].test
    spec = grammar.tests[test]
    return not group.exceptions and not any(
        value in NOT_DONE
        or is_grade(grammar, test, value)
        or (value in spec.values and spec.values[value].note is not None)
        or value in (spec.named, spec.denied)
        for value in group.values
    )


def _same(group: Group, other: Group) -> bool:
    """Whether both speak of exactly the same places, with the same verdict and details."""

    def at(one: Group) -> set[tuple[str | None, str | None, str | None]]:
        return {(found.site, found.site_said, found.side) for found in one.findings}

    verdicts = (group.findings[0].normal, other.findings[0].normal)
    return at(group) == at(other) and group.detail == other.detail and verdicts[0] is verdicts[1]


def _container(grammar: Grammar, finding: Finding, findings: Sequence[Finding]) -> Finding | None:
    """The narrowest finding that this one is an exception from, itself no exception."""
    wider = [
        other
        for other in findings
        if _excepts(grammar, finding, other)
        and not any(_excepts(grammar, other, third) for third in findings)
    ]
    for other in wider:
        if not any(inside(grammar, third, other) for third in wider if third is not other):
            return other
    return None


def _excepts(grammar: Grammar, finding: Finding, other: Finding) -> bool:
    """Whether a finding is an exception from another.

    It stands inside something wider that has another value and carries no detail: a detail,
    such as a kind, may make the two different things.
    """
    return (
        other.value != finding.value
        and other.value not in NOT_DONE
        and not other.detail
        and not _own_words(grammar, other)
        and not _own_words(grammar, finding)
        and inside(grammar, finding, other)
    )


def _own_words(grammar: Grammar, finding: Finding) -> bool:
    """Whether the value is a sentence of its own ("No clonus"), which takes no "except"."""
    spec = grammar.tests[finding.test]
    own = finding.value in spec.values and spec.values[finding.value].note is not None
    named = spec.named is not None and finding.value in (spec.named, spec.denied)
    return own or named


def inside(grammar: Grammar, finding: Finding, other: Finding) -> bool:
    """Whether a finding lies inside another one: a part of its site, or one side of it.

    Args:
        grammar: Which sites belong to which.
        finding: The one that may lie inside.
        other: The wider one, of the same test.
    """
    if finding.site == other.site:
        return other.side is None and finding.side is not None
    if finding.site is None or other.site is None:
        return False
    if other.side is not None and other.side != finding.side:
        return False
    return other.site == WHOLE or other.site in _groups_of(grammar, finding.test, finding.site)


def _groups_of(grammar: Grammar, test: str, site: str) -> set[str]:
    """The groups a site belongs to, and the groups of those."""
    sites = grammar.sites_of(test)
    found: set[str] = set()
    waiting = [site]
    while waiting:
        spec = sites.get(waiting.pop())
        new = set(spec.part_of if spec else ()) - found
        found |= new
        waiting.extend(sorted(new))
    return found
