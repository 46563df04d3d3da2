"""Repeats: "same on the other side", "hamstrings likewise", "and on the left"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from dictate.interpret.statement import Said
from dictate.model import (
    OTHER_SIDE,
    Finding,
    QuestionKind,
    Side,
    UtteranceKind,
)
from dictate.parse.categories import Claim, Val
from dictate.parse.draft import Draft
from dictate.parse.entering import enter
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice
from dictate.parse.state import Entry
from dictate.parse.stating import Stating
from dictate.resolve.fit import fit, is_normal, takes
from dictate.resolve.partly import partly_asked


def qualified(later: Sequence[Claim]) -> bool:
    """ "Pin the same, but up to the knees": what follows changes what is the same."""
    return bool(later) and later[0].link == "but" and not later[0].values


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
        told = bool(claim.details) and claim.link in ("comma", "and")
        return side == "other" or (opens if i == 0 else claim.link == "and" or told)

    def _likewise(self, lattice: Lattice, claim: Claim) -> bool:
        """ "Hamstrings likewise", "gait the same": what was found last, of this one."""
        if claim.unknown or claim.strange:
            return False
        if not self.s.entries or all(
            any(r.group == "limb" for r in n.sites) and not n.tests for n in claim.names
        ):
            return False
        last = self.s.entries[-1].finding
        now = len(self.s.utterances)
        sited = any(n.sites for n in claim.names) or claim.places
        source = [
            e
            for e in self.s.entries
            if e.finding.test == last.test
            and (e.finding.site == last.site or not sited)
            and e.utterance >= now - 1
        ]
        return self._same_of(lattice, claim, source)

    def _too(self, lattice: Lattice, claim: Claim) -> bool:
        """ "The leg too", "biceps and triceps as well": what was just found, of this one.

        Where that was of several tests, which of them is asked.
        """
        if claim.unknown or claim.strange or claim.doubts or claim.details:
            return False
        now = len(self.s.utterances)
        near = [e for e in self.s.entries if e.id in (self.taken or self.found_before)]
        near = [e for e in near if e.utterance >= now - 1]
        tests = list(dict.fromkeys(e.finding.test for e in near))
        source = [e for e in near if e.finding.site == near[-1].finding.site]
        if len(tests) == 1 and self._same_of(lattice, claim, source):
            return True
        named = any(n.tests for n in claim.names)
        body = any(
            r.group in self.grammar.groups for n in (*claim.names, *claim.places) for r in n.sites
        )
        if not near or named or not body:
            return False
        self.ask(lattice, claim, Draft(tests=tests), ("value", []))
        return True

    def _same_of(self, lattice: Lattice, claim: Claim, source: list[Entry]) -> bool:
        """What was found of some things, found of what the claim names; False if it fits none."""
        now, here = len(self.s.utterances), self.spoken(lattice, claim)
        sited = any(n.sites for n in claim.names) or claim.places
        names = (*claim.names, *claim.places)
        pair = {entry.finding.side for entry in source} >= {"right", "left"}
        sided = claim.side or any(n.side or (n.both and not pair) for n in names)
        if partly_asked((entry.finding for entry in source), (o.question for o in self.s.open)):
            return False
        done: list[Finding] = []
        for entry in source:
            old = entry.finding
            given = {"value": old.value}
            if old.site and not sited:
                given["site"] = old.site
            if old.side and not sided:
                given["side"] = old.side
            holds = replace(self.s.holds, item_test=Hold(old.test, here, now))
            twin = claim.copy()
            twin.repeat = False
            if not twin.names:
                twin.names, twin.places = claim.places, ()
            draft, _targets = self.meaning.draft(lattice, twin, holds, (), given)
            named = any(n.tests for n in names)
            if not named and not self.grammar.sites_of(old.test):
                found = self._of_that_side(claim, old)
                if found is None:
                    return False
                draft = Draft(findings=[found])
            if draft.asks or not all(
                (named or f.test == old.test) and takes(self.grammar, f.test, f.value)
                for f in draft.findings
            ):
                return False
            done += [replace(f, said=(*f.said, *old.said)) for f in draft.findings]
        for finding in dict.fromkeys(done):
            self.taken += enter(self, finding, frozenset(), claim.link)
        return bool(done)

    def _of_that_side(self, claim: Claim, old: Finding) -> Finding | None:
        """A limb, of a test that has no places: its side ("no drift left, right arm too")."""
        names = (*claim.names, *claim.places)
        sides = {n.side for n in names} | {claim.side} - {None}
        sides.discard(None)
        limb = all(any(r.group == "limb" for r in n.sites) for n in names)
        side = sides.pop() if len(sides) == 1 else None
        if side not in OTHER_SIDE or not (limb and old.side):
            return None
        return replace(old, side=cast(Side, side))

    def _of_those(self, lattice: Lattice, claim: Claim) -> UtteranceKind:
        """ "On the left the same four are two plus": all of the last run."""
        assert claim.those is not None
        named = 0
        for name in claim.names:
            named |= name.tests
        names = self.types.names(named)
        run = [e for e in self._last_of_one_side() if not names or e.finding.test in names]
        number = claim.those.readings[0].id
        now = [e for e in run if e.utterance == len(self.s.utterances)]
        if not number and len({e.finding.test for e in run}) > 1:
            run = now or run  # "tone increased in the arm. Left ones normal."
        spots = list(dict.fromkeys((e.finding.test, e.finding.site) for e in run))
        if number and len(spots) > int(number):
            spots = spots[-int(number) :]
        sides = {e.finding.side for e in run if (e.finding.test, e.finding.site) in spots}
        side = claim.side or claim.pside
        if side in (None, "alike") and self.s.holds.side is not None:
            side = self.s.holds.side.id
        if side == "other" and len(sides) == 1:
            side = OTHER_SIDE.get(next(iter(sides)) or "")
        unclear = bool(number) and len(spots) != int(number)
        again = side is None or side in sides
        loose = claim.unknown or claim.doubts or claim.places or claim.compare or claim.strange
        values = {s: next((x for v in claim.values if (x := self._value_for(s[0], v))), None)
                  for s in spots}  # fmt: skip
        if not number and spots and values[spots[-1]] is not None:  # the last that take the value
            first = max((i for i, s in enumerate(spots, 1) if values[s] is None), default=0)
            values = {s: values[s] for s in spots[first:]}
        if not spots or unclear or again or loose or None in values.values():
            draft = Draft(tests=[test for test, _ in spots[:1]])
            self.ask(lattice, claim, draft, ("value" if spots else "referent", []))
            return "finding"
        here = self.spoken(lattice, claim)
        self.do("set", run=())
        rows = ("right", "left") if side == "both" else (side,)
        for (test, site), found_value in values.items():
            value = found_value or ""
            for row in rows:
                normal = is_normal(self.grammar, test, value)
                found = Finding(test, site, cast(Side, row), value, (), normal, (here,), None)
                self.taken += enter(self, found, frozenset(), "start")
        return "finding"

    def _last_of_one_side(self) -> list[Entry]:
        """The last findings of one side and section, whatever heading came after them.

        Of utterances before the last one that found something, only those of the same test.
        """
        entries = self.s.entries
        first, area = len(entries), self.grammar.area_of
        while first:
            entry, last = entries[first - 1], entries[-1]
            section = area(entry.finding.test) == area(last.finding.test)
            same = entry.finding.test == last.finding.test
            if entry.finding.side != last.finding.side or not section:
                break
            if entry.utterance != last.utterance and not same:
                break
            first -= 1
        return list(entries[first:])

    def _value_for(self, test: str, val: Val) -> str | None:
        if val.item is None or val.deny or val.notdone:
            return None
        said = Said(grade=val.item.grade, readings=val.item.readings, negated=val.negated)
        found = fit(self.grammar, test, said)
        return found.value if found is not None and not found.misfit else None

    def _repeat(self, lattice: Lattice, claim: Claim, later: list[Claim]) -> UtteranceKind:
        within = [it for it in lattice.items if claim.start - 3 <= it.start < claim.end]
        pointed = any(r.kind == "that_one" for it in within for r in it.readings)
        told = [c for c in later if c.link == "but" and c.values and not (c.names or c.places)]
        for one in told:
            one.values = ()  # "the same, but only reduced": which is it?
        if pointed or claim.hesitant or ((claim.doubts or told) and self.s.run):
            tests = [e.finding.test for e in self.s.entries[-1:]]
            kind: QuestionKind = "referent" if pointed else "value"
            self.ask(lattice, claim, Draft(tests=tests), (kind, []))
            return "finding"
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
        if claim.details and any(e.finding.normal for e in source):
            self.ask(lattice, claim, Draft(tests=[source[-1].finding.test]), ("value", []))
            return "finding"  # "no clonus at the right ankle, three beats on the left"
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
