"""Corrections that name their target: they reach back to its last finding."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.grammar.names import WHOLE
from dictate.interpret.lexicon import Reading
from dictate.model import Finding, Side, UtteranceKind
from dictate.parse.amending import (
    ask_value,
    ask_what,
    close,
    last_claim,
    nothing_before,
    remove,
    side_of_claim,
    value_of,
)
from dictate.parse.categories import Claim
from dictate.parse.entering import enter
from dictate.parse.items import Lattice
from dictate.parse.revaluing import revalue
from dictate.parse.targets import Target
from dictate.resolve.mending import part_of_name

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def restate(
    n: Stating, lattice: Lattice, claim: Claim, says: bool, claims: list[Claim]
) -> UtteranceKind | None:
    """A correction that names its target reaches back to the last finding of that target."""
    claim.fix = ""
    if not says:
        return new_target(n, lattice, claim)
    if _in_short(n, lattice, claim):
        claim.names, claim.places, claim.fix = (), (), "replace"
        return revalue(n, lattice, claim)
    draft, targets = n.meaning.draft(lattice, claim, n.s.holds, n.before)
    placed = side_of_claim(claim) or any(x.sites for x in (*claim.names, *claim.places))
    whole = draft.findings and all(
        f.side is None and f.site in (None, WHOLE) for f in draft.findings
    )
    tests = {f.test for f in draft.findings}
    at = [
        e
        for e in n.s.entries
        if e.finding.test in tests and (e.finding.side or e.finding.site not in (None, WHOLE))
    ]
    given: dict[str, str] | None = None
    if not placed and whole and len(tests) == 1 and at:
        last = max(e.claim for e in at)
        old = [e.finding for e in at if e.claim == last]
        if len({f.site for f in old}) > 1:
            return ask_what(n, lattice, claim)
        given = _given(old)
    elif {k for k, _ in draft.asks} and {k for k, _ in draft.asks} <= {"side", "test", "site"}:
        sites = {r.id for x in (*claim.names, *claim.places) for r in x.sites}
        for entry in reversed(n.s.entries):
            f = entry.finding
            if (f.site in sites) if sites else (f.test in draft.tests):
                same = [
                    e.finding
                    for e in n.s.entries
                    if e.claim == entry.claim
                    and (e.finding.test, e.finding.site) == (f.test, f.site)
                ]
                given = _given(same)
                if side_of_claim(claim):
                    given.pop("side", None)
                break
    if given:
        draft, targets = n.meaning.draft(lattice, claim, n.s.holds, n.before, given)
        for target in targets:
            _at_site(n, target, given)
    if claim.unknown and draft.findings:
        draft.findings, draft.asks = [], [("value", [])]
    spots = {(f.test, f.site) for f in draft.findings}
    known = any((e.finding.test, e.finding.site) in spots for e in n.s.entries)
    last = last_claim(n)
    here = [e for e in n.s.entries if e.claim == last]
    denied = any(v.deny for v in claim.values)
    if spots and not known and not denied and here and here[0].utterance >= len(n.s.utterances) - 0:
        for entry in here:
            remove(n, entry, "corrected")
    for finding in draft.findings:
        same_spot = [
            e
            for e in n.s.entries
            if (e.finding.test, e.finding.site) == (finding.test, finding.site)
        ]
        exact = [e for e in same_spot if e.finding.side == finding.side]
        named = bool(side_of_claim(claim))
        for entry in (exact or (same_spot[-1:] if named else same_spot))[-2:]:
            if entry in n.s.entries and (entry.finding.side == finding.side or not exact):
                remove(n, entry, "corrected")
        for one in n.s.open:
            offered = [f for c in one.question.choices for f in c.findings]
            if any(
                (f.test, f.site, f.side) == (finding.test, finding.site, finding.side)
                for f in offered
            ) and one.question.kind in ("conflict", "value", "scale", "heard"):
                close(n, one, "corrected")
    if side_of_claim(claim):
        n.hold(side=None)
    for finding in draft.findings:
        n.taken += enter(n, finding, frozenset(), "start")
    if draft.ask is not None:
        n.ask(lattice, claim, draft, draft.ask)
    n.before = targets if draft.findings or draft.asks else []
    return "finding" if draft.findings or draft.asks else "remark"


def _in_short(n: Stating, lattice: Lattice, claim: Claim) -> bool:
    """ "Ankle dorsiflexion three. I mean, four for the ankle": a part of the name is enough."""
    last = last_claim(n)
    old = [e.finding for e in n.s.entries if e.claim == last]
    names = (*claim.names, *claim.places)
    if len(names) != 1 or not claim.values or not old or names[0].tests:
        return False
    if side_of_claim(claim) not in (None, old[-1].side):
        return False
    words = {token.norm for a, b in names[0].spans for token in lattice.tokens[a:b]}
    sites = {r.id for r in names[0].sites}
    fits = any(value_of(n, old[-1], val) for val in claim.values)
    return fits and part_of_name(words, sites, [f.site for f in old])


def _at_site(n: Stating, target: Target, given: dict[str, str]) -> None:
    """What the correction goes on with is of the site that was corrected."""
    test, site = given["test"], given.get("site")
    if site is None or target.name.sites:
        return
    group = n.grammar.tests[test].sites
    own = (
        Reading("site", site, group=group)
        if isinstance(group, str)
        else Reading("site", site, test)
    )
    target.name.sites = (own,)
    target.name.smask = n.types.sites((own,))


def _given(old: list[Finding]) -> dict[str, str]:
    given = {"test": old[0].test}
    if old[0].site:
        given["site"] = old[0].site
    sides = {f.side for f in old if f.side}
    if sides:
        given["side"] = "both" if len(sides) == 2 else next(iter(sides))
    return given


def new_target(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind | None:
    """ "No, triceps": the last finding was meant for another site or test."""
    last = last_claim(n)
    entries = [e for e in n.s.entries if e.claim == last]
    if not entries:
        return nothing_before(n, lattice, claim)
    here = n.spoken(lattice, claim)
    names = (*claim.names, *claim.places)
    side = side_of_claim(claim)
    for entry in entries:
        old = entry.finding
        sites = n.grammar.sites_of(old.test)
        group = n.grammar.tests[old.test].sites
        term = next(
            (
                r
                for x in names
                for r in x.sites
                if r.id in sites and (r.group == group or r.test == old.test)
            ),
            None,
        )
        entry_site = sites.get(old.site or "")
        if term is not None and entry_site is not None and term.id in entry_site.part_of:
            term = None  # "the left arm": of a muscle of the arm, only the side is meant
        if term is None and (side not in ("right", "left") or any(x.tests for x in names)):
            ask_value(n, lattice, claim, entry)
            continue
        n.past("corrected", old)
        new = replace(
            old,
            site=term.id if term else old.site,
            site_said=(term.kept or None) if term else old.site_said,
            side=cast(Side, side) if side in ("right", "left") else old.side,
            said=(*old.said, here),
        )
        n.do("removed", id=entry.id)
        enter(n, new, frozenset(), "start")
    return "command"
