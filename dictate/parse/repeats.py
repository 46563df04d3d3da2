"""Repeats: "same on the other side", "hamstrings likewise", "and on the left"."""

from __future__ import annotations

from dataclasses import replace

from dictate.model import (
    OTHER_SIDE,
    Finding,
    UtteranceKind,
)
from dictate.parse.categories import Claim
from dictate.parse.draft import Draft
from dictate.parse.entering import enter
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice
from dictate.parse.stating import Stating
from dictate.resolve.fit import takes


class Repeats(Stating):
    """What was said before, said again of something else."""

    def _is_repeat(self, items: list[Item], claim: Claim, i: int) -> bool:
        if claim.pneg is not None:
            return False
        if claim.values or claim.link in ("except", "but"):
            return claim.repeat and claim.link not in ("except", "but") and not claim.values
        if claim.repeat:
            return not claim.names or not any(n.tests for n in claim.names)
        side = claim.side or claim.pside
        lone = (
            side
            and not claim.names
            and not claim.places
            and not claim.unknown
            and not claim.sections
        )
        if not lone:
            return False
        also = any(r.kind == "also" for item in items[:3] for r in item.readings)
        opens = items[0].roles[0] == "AND" or also
        return side == "other" or (opens if i == 0 else claim.link == "and")

    def _likewise(self, lattice: Lattice, claim: Claim) -> bool:
        """ "Hamstrings likewise", "gait the same": what was found last, of this one."""
        if not self.s.entries or all(
            any(r.group == "limb" for r in n.sites) and not n.tests for n in claim.names
        ):
            return False
        last = self.s.entries[-1].finding
        now = len(self.s.utterances)
        source = [
            e
            for e in self.s.entries
            if (e.finding.test, e.finding.site) == (last.test, last.site) and e.utterance >= now - 1
        ]
        here = self.spoken(lattice, claim)
        done: list[Finding] = []
        for entry in source:
            old = entry.finding
            given = {"value": old.value}
            if old.side and not any(n.side for n in claim.names) and not claim.side:
                given["side"] = old.side
            holds = replace(
                self.s.holds, item_test=self.s.holds.item_test or Hold(old.test, here, now)
            )
            twin = claim.copy()
            twin.repeat = False
            draft, _targets = self.meaning.draft(lattice, twin, holds, (), given)
            if draft.asks or not all(
                f.test in self.grammar.tests and takes(self.grammar, f.test, f.value)
                for f in draft.findings
            ):
                return False
            done += [replace(f, said=(*f.said, *old.said)) for f in draft.findings]
        for finding in dict.fromkeys(done):
            self.taken += enter(self, finding, frozenset(), claim.link)
        return bool(done)

    def _repeat(self, lattice: Lattice, claim: Claim, later: list[Claim]) -> UtteranceKind:
        run = [e for e in self.s.entries if e.id in self.s.run]
        sides = {e.finding.side for e in run}
        said = (
            claim.side
            or claim.pside
            or next((n.side for n in (*claim.names, *claim.places) if n.side), None)
        )
        wanted = said if said in ("right", "left") else None
        if wanted is None and len(sides) == 1:
            wanted = OTHER_SIDE.get(next(iter(sides)) or "")
        if not run or (wanted is None and len(sides) != 2):
            if (claim.repeat or self.s.entries) and not self.strange and not claim.talk:
                self.ask(lattice, claim, Draft(), ("referent", []))
            self.hold(side=None)
            return "finding"
        if wanted is None:
            return "command"
        source = [e for e in run if e.finding.side != wanted]
        here = self.spoken(lattice, claim)
        skip = {
            r.id
            for c in later
            if c.link in ("except", "but")
            for n in (*c.names, *c.places)
            for r in n.sites
        }
        self.do("set", run=())
        done: list[Finding] = []
        for e in source:
            if e.finding.site in skip:
                continue
            finding = replace(e.finding, side=wanted, said=(*e.finding.said, here))  # type: ignore[arg-type]
            enter(self, finding, e.labels, "start")
            done.append(finding)
        self.hold(item_side=Hold(wanted, here, len(self.s.utterances)), side=None)
        if source:
            last = source[-1].finding
            self.hold(item_test=Hold(last.test, last.said[0], len(self.s.utterances)))
        self.before = []
        return "finding"
