"""Groups of sites with what they take from each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dictate.errors import GrammarError
from dictate.grammar.schema import Site, SiteGroup, Test


def taken_by(test: Test, groups: Mapping[str, SiteGroup]) -> dict[str, Site]:
    """The sites that a test takes, by id: those of its group, and what that takes from others.

    Raises:
        GrammarError: A group or a site that its group takes is not there.
    """
    if test.sites == "-":
        return {}
    if not isinstance(test.sites, str):
        return test.sites
    if test.sites not in groups:
        return {}
    group = groups[test.sites]
    found = {**group.sites, **{site: entry for _, site, entry in _taken(test.sites, groups)}}
    found.update(group.sites)
    return {site: found[site] for site in test.within if site in found} if test.within else found


def owned_by(test: Test, groups: Mapping[str, SiteGroup]) -> frozenset[tuple[str, str]]:
    """Every site that a test takes, with the group that has its words."""
    if not isinstance(test.sites, str) or test.sites not in groups:
        return frozenset()
    own = {(test.sites, site) for site in groups[test.sites].sites}
    return frozenset(own | {(other, site) for other, site, _ in _taken(test.sites, groups)})


def _taken(name: str, groups: Mapping[str, SiteGroup]) -> Iterator[tuple[str, str, Site]]:
    for named_only, taken in ((False, groups[name].of), (True, groups[name].of_named)):
        for other, sites in taken.items():
            if other not in groups:
                raise GrammarError(
                    f"common/sites.yaml: the group {name!r} takes sites of {other!r}, "
                    "and no group is called that."
                )
            for site in sites or groups[other].sites:
                if site not in groups[other].sites:
                    raise GrammarError(
                        f"common/sites.yaml: the group {name!r} takes {site!r} of {other!r}, "
                        "and there is no such site."
                    )
                entry = groups[other].sites[site]
                if named_only:
                    entry = entry.model_copy(update={"named_only": True})
                yield other, site, entry
