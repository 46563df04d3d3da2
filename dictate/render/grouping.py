"""Findings of one test that say the same, put together; exceptions with what they except from.

Nothing is dropped and nothing added: each finding is in exactly one group or exception.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from dictate.grammar import Grammar
from dictate.grammar.wording import NOT_DONE, WHOLE, is_grade
from dictate.model import Finding, Side

SIDES: tuple[Side, ...] = ("right", "left")


@dataclass(frozen=True, slots=True)
class Spot:
    """One site with the sides that it was found on; no sides where none was said."""

    site: str | None
    said: str | None
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Findings with one value and one detail, and the exceptions from them."""

    test: str
    value: str
    detail: tuple[str, ...]
    normal: bool | None
    spots: tuple[Spot, ...]
    findings: tuple[Finding, ...]
    exceptions: tuple[Group, ...] = ()

    @property
    def done(self) -> bool:
        """Whether the test was carried out."""
        return self.value not in NOT_DONE


#: What puts findings into one group: value, detail, normal, and what they are an exception from.
_Key = tuple[str, tuple[str, ...], bool | None]


def group_findings(grammar: Grammar, findings: tuple[Finding, ...]) -> tuple[Group, ...]:
    """Group the findings of one test.

    Args:
        grammar: Which sites belong to which.
        findings: Findings of one test, at least one, in any order.

    Returns:
        Groups with exceptions first, then abnormal ones, then those without a normal, then
        normal ones, and last what was not done.
    """
    sites = list(grammar.sites_of(findings[0].test))
    plain: dict[_Key, list[Finding]] = {}
    excepted: dict[_Key, dict[_Key, list[Finding]]] = {}
    for finding in findings:
        wider = _container(grammar, finding, findings)
        held = plain if wider is None else excepted.setdefault(_key(wider), {})
        held.setdefault(_key(finding), []).append(finding)
    groups = []
    for key, members in plain.items():
        inner = tuple(_group(part, sites) for part in excepted.pop(key, {}).values())
        groups.append(replace(_group(members, sites), exceptions=_sorted(inner)))
    return _sorted(tuple(groups))


def _group(findings: list[Finding], sites: list[str]) -> Group:
    first = findings[0]
    sides: dict[tuple[str | None, str | None], set[Side]] = {}
    bare: set[tuple[str | None, str | None]] = set()
    for finding in findings:
        place = (finding.site, finding.site_said)
        sides.setdefault(place, set())
        if finding.side is None:
            bare.add(place)
        else:
            sides[place].add(finding.side)
    spots = [Spot(*place, ()) for place in sides if place in bare]
    spots += [
        Spot(*place, tuple(side for side in SIDES if side in found))
        for place, found in sides.items()
        if found
    ]
    return Group(
        test=first.test,
        value=first.value,
        detail=first.detail,
        normal=first.normal,
        spots=tuple(sorted(spots, key=lambda spot: _rank(spot.site, sites))),
        findings=tuple(findings),
    )


def _rank(site: str | None, sites: list[str]) -> int:
    """The order of the grammar, with the whole before its parts."""
    if site is None or site == WHOLE:
        return -1
    return sites.index(site) if site in sites else len(sites)


def _sorted(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    def weight(group: Group) -> tuple[bool, bool, int]:
        return (not group.done, not group.exceptions, (False, None, True).index(group.normal))

    return tuple(sorted(groups, key=weight))


def _key(finding: Finding) -> _Key:
    return (finding.value, finding.detail, finding.normal)


def _container(
    grammar: Grammar, finding: Finding, findings: tuple[Finding, ...]
) -> Finding | None:
    """The finding that this one is an exception from.

    An exception stands inside something wider that has another value, that is no exception
    itself and carries no detail (a detail such as a kind may make it something else).
    """
    wider = [
        other
        for other in findings
        if other.value != finding.value
        and other.value not in NOT_DONE
        and not other.detail
        and _inside(grammar, finding, other)
        and not any(_excepts(grammar, other, third) for third in findings)
    ]
    # the smallest of them: what holds no other of them inside itself
    for other in wider:
        if not any(_inside(grammar, third, other) for third in wider if third is not other):
            return other
    return None


def _excepts(grammar: Grammar, finding: Finding, other: Finding) -> bool:
    return (
        other.value != finding.value
        and other.value not in NOT_DONE
        and not other.detail
        and _inside(grammar, finding, other)
    )


def _inside(grammar: Grammar, finding: Finding, other: Finding) -> bool:
    """Whether a finding lies inside another one: a part of its site, or one side of it."""
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


def graded(grammar: Grammar, group: Group) -> bool:
    """Whether the group or one of its exceptions holds a grade of an ordered scale."""
    scale = grammar.tests[group.test].scale
    if scale is None or grammar.scales[scale].kind != "grades":
        return False
    values = [group.value, *(part.value for part in group.exceptions)]
    return any(is_grade(grammar, group.test, value) for value in values)
