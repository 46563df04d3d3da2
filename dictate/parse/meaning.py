"""One claim of the chart to findings, or to the first thing that must be asked about it.

A pure function of the claim, of what holds, and of answers given so far. Nothing unsaid is chosen:
where more than one test, site, side or value is left, it is asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.statement import Said
from dictate.parse.categories import Claim, Name, Val
from dictate.parse.draft import Draft
from dictate.parse.holds import Holds
from dictate.parse.items import Lattice
from dictate.parse.targets import Target
from dictate.parse.where import Where
from dictate.resolve.fit import fit, settles_scale, uncovered


class Meaning(Where):
    """Works out claims by one grammar."""

    def draft(
        self, lattice: Lattice, claim: Claim, holds: Holds, before: Sequence[Target] = (),
        given: dict[str, str] | None = None,
    ) -> tuple[Draft, list[Target]]:  # fmt: skip
        """Findings and questions of one claim, and what it spoke of.

        Args:
            lattice: The utterance.
            claim: The claim.
            holds: What headings and earlier items give it.
            before: What the claim before spoke of.
            given: Answers so far: ``side``, ``test``, ``site``, ``value``.
        """
        given = dict(given or {})
        out = Draft()
        targets = self.targets(claim, before)
        if "value" not in given and claim.doubts:
            out.asks.append(("value", []))
            out.why.append("words of doubt")
        broken = not given and _breaks_off(lattice, claim)
        if broken:
            out.asks.append(("value", []))
        if not targets and (claim.values or claim.parts):
            targets = self._by_value(claim, holds, out)
        for target in targets:
            self._one(lattice, claim, target, holds, given, out)
        unsure = claim.doubts or broken
        if any(kind == "value" for kind, _ in out.asks) and unsure:
            out.findings = []
        return out, targets

    def _by_value(self, claim: Claim, holds: Holds, out: Draft) -> list[Target]:
        """A value alone that names its test ("20/40", "four out of five"), or goes on with one."""
        mask = 0
        for val in claim.values:
            if val.item is None or val.notdone:
                continue
            said = Said(grade=val.item.grade, readings=val.item.readings)
            for name in self.types.names(val.mask):
                scale = self.grammar.tests[name].scale
                own = any(r.test == name for r in val.item.readings)
                line = (
                    val.item.grade is not None
                    and scale
                    and self.grammar.scales[scale].kind == "acuity"
                )
                line = (
                    line
                    and val.item.grade is not None
                    and val.item.grade.of is not None
                    and (
                        val.item.grade.of not in self.grammar.denominators
                        or (bool(claim.side or claim.pside) and self._of_chart(val))
                    )
                )
                if (
                    settles_scale(self.grammar, name, said)
                    or line
                    or (own and holds.item_test and holds.item_test.id == name)
                    or (
                        own
                        and holds.site is not None
                        and holds.site.id in self.grammar.sites_of(name)
                    )
                ):
                    mask |= self.types.bit[name]
        mask = self._of_lines(claim, mask)
        if claim.parts:
            mask = self.types.of({claim.parts[0][0].of_kind("part")[0].test})
        soft = holds.item_test or holds.test
        if not mask and soft is not None and claim.rest:
            mask = self.types.bit[soft.id]
        if not mask:
            signed = any(
                v.item is not None and v.item.grade is not None
                and (v.item.grade.sign or v.item.grade.of or claim.side or claim.pside)
                for v in claim.values
            )  # fmt: skip
            if signed:
                out.asks.append(("site", []))
            return []
        ghost = Name()
        ghost.tests = mask
        return [Target(ghost, True, claim.side or claim.pside)]

    def _of_chart(self, val: Val) -> bool:
        """The second number is that of no grade ("six over twelve", and not "four of five")."""
        scales = [self.grammar.scales[t.scale] for t in self.grammar.tests.values() if t.scale]
        grades = {str(s.of) for s in scales if s.unnamed and s.of}
        return (
            val.item is not None
            and val.item.grade is not None
            and (val.item.grade.of not in grades)
        )

    def _of_lines(self, claim: Claim, mask: int) -> int:
        """ "20/40" by itself is a line of a chart, and no score."""
        charts = 0
        for name in self.types.names(mask):
            scale = self.grammar.tests[name].scale
            if scale is not None and self.grammar.scales[scale].kind == "acuity":
                charts |= self.types.bit[name]
        sided = bool(claim.side or claim.pside)
        return charts if charts and sided else mask

    def _one(
        self,
        lattice: Lattice,
        claim: Claim,
        target: Target,
        holds: Holds,
        given: dict[str, str],
        out: Draft,
    ) -> None:
        name = target.name
        mask = name.mask(self.types)
        if name.tests and name.sites and not mask:
            out.asks.append(("site", []))
            out.tests += [t for t in self.types.names(name.tests) if t not in out.tests]
            return
        cand = self.types.names(mask)
        own = target.own
        named = any(r.kind in ("test", "sign") for r in name.kinds) or (own and not name.sites)
        if not named:
            kept = {h.id for h in (holds.item_test, holds.test) if h is not None}
            needy = [t for t in cand if self._needs_name(t, claim, target, kept, holds)]
            shared = claim.names and any(
                any(r.kind in ("test", "sign") for r in x.kinds) for x in claim.names
            )
            if needy and not shared:
                cand = [t for t in cand if t not in needy]
                if not cand:
                    return
        if not own:
            softly = self._softly(claim, target, cand, holds)
            held = softly != cand or (
                len(softly) == 1
                and any(h and h.id == softly[0] for h in (holds.item_test, holds.test))
            )
            cand = softly
        else:
            held = False
        if given.get("test") in cand:
            cand, own = [given["test"]], True
        loose = (
            not own
            and not named
            and any(v.item is not None and v.item.text in self.loose for v in claim.values)
        )
        if loose and not (holds.item_test and holds.item_test.utterance == holds.now):
            out.tests += [t for t in cand[:8] if t not in out.tests]
            out.asks.append(("value", []))
            return
        if any(not r.id for r in name.sites) and "site" not in given:
            out.tests += [t for t in cand if t not in out.tests]
            out.asks.append(("site", []))
            return
        if own and name.tests and not name.tests & ~self.types.general and claim.values:
            cand = self._of_area(claim, cand)  # "motor five out of five"
        now = holds.item_test is not None and holds.item_test.utterance == holds.now
        denies = any(v.deny and not (now and v.looked_for) for v in claim.values)
        hits, problems = self._values(
            lattice, claim, target, cand, own or (held and not denies), given
        )
        if not own and len({t for t, _ in hits}) > 1:
            soft = {h.id for h in (holds.item_test, holds.test) if h is not None}
            hits = [(t, v) for t, v in hits if t in soft] or hits
        out.tests += [
            t for t in dict.fromkeys([t for t, _ in hits] or cand[:8]) if t not in out.tests
        ]
        site = next(iter(name.sites), None)
        out.site = site.id if site is not None and out.site is None else out.site
        if not own and len({t for t, _ in hits}) > 1:
            out.asks.append(("test", list(dict.fromkeys(t for t, _ in hits))))
            return
        if not hits:
            if not own and not problems and not name.sites:
                return
            out.asks.append(problems[0] if problems else ("value", []))
            return
        one = {target.side, claim.side, claim.pside} & {"right", "left"}
        hits = uncovered(self.grammar, hits, bool(one))
        for test, value in hits:
            self._place(lattice, claim, target, test, value, holds, given, out)
        out.asks.extend(problems)

    def _needs_name(
        self, test: str, claim: Claim, target: Target, held: set[str], holds: Holds
    ) -> bool:
        """The test takes the site only where it was named, or one of its own value words was."""
        if self.grammar.tests[test].sites_need_name:
            return test not in held
        sites = self.grammar.sites_of(test)
        entries = [sites[r.id] for r in target.name.sites if r.id in sites]
        own = any(r.test == test for v in claim.values if v.item for r in v.item.readings)
        if not entries or not all(e.named_only for e in entries) or own:
            return False
        if holds.test is not None and holds.test.id == test and not graded_in(claim):
            return False  # "bulk: deltoids normal"
        return test not in held or (
            self._rivals(claim, target) and not _goes_on(claim, target, test, holds)
        )

    def _rivals(self, claim: Claim, target: Target) -> bool:
        """A part of the body that some test grades by itself, or a grade: a name that held before
        does not reach it ("tone spastic in the right leg, right hip flexion four")."""
        if graded_in(claim):
            return True
        for test in self.types.names(self.types.sites(target.name.sites)):
            scale = self.grammar.tests[test].scale
            sites = self.grammar.sites_of(test)
            free = any(r.id in sites and not sites[r.id].named_only for r in target.name.sites)
            if free and scale and self.grammar.scales[scale].unnamed:
                return True
        return False

    def _of_area(self, claim: Claim, cand: list[str]) -> list[str]:
        """A general test with a grade: the test of its area that the grade names."""
        val = claim.values[0]
        if val.item is None or val.item.grade is None or val.mask & self.types.of(cand):
            return cand
        areas = {self.grammar.area_of(t).area for t in cand}
        said = Said(grade=val.item.grade)
        found = [
            t for t in self.types.names(val.mask)
            if self.grammar.area_of(t).area in areas and settles_scale(self.grammar, t, said)
        ]  # fmt: skip
        return found or cand

    def _softly(self, claim: Claim, target: Target, cand: list[str], holds: Holds) -> list[str]:
        """A site without a test: of the test that holds, if it takes the site and the value."""
        for hold in (holds.item_test, holds.test):
            if hold is None or hold.id not in cand:
                continue
            going = _goes_on(claim, target, hold.id, holds)
            if (
                going
                or not self._of_another(claim, hold.id, cand)
                or (self._ungraded(hold.id, claim, target))
            ):
                bit = self.types.bit[hold.id]
                fits = [v for v in claim.values if v.notdone or v.deny or v.mask & bit]
                good = [v for v in fits if v.item is None or not self._misfit(hold.id, v)]
                if good or not claim.values or self._ungraded(hold.id, claim, target):
                    return [hold.id]
        return cand

    def _graded_takers(self, claim: Claim, target: Target) -> list[str]:
        """The tests that take the site and the grade without being named."""
        mask = self.types.sites(target.name.sites) & self.types.graded
        for val in claim.values:
            mask &= val.mask
        return self.types.names(mask)

    def _ungraded(self, held: str, claim: Claim, target: Target) -> bool:
        """ "Light touch: C6 one": a number where the test that holds has none is no strength."""
        grades = [v.item.grade for v in claim.values if v.item is not None and v.item.grade]
        bare = bool(grades) and not any(g.of or g.sign or g.unit or g.plusses for g in grades)
        if not bare or self.grammar.tests[held].scale is not None:
            return False
        area = self.grammar.area_of(held).area
        takers = self._graded_takers(claim, target)
        if any(self.grammar.area_of(test).area == area for test in takers):
            return False
        sites = self.grammar.sites_of(held)
        return any(r.id in sites and not sites[r.id].named_only for r in target.name.sites)

    def _of_another(self, claim: Claim, held: str, cand: list[str]) -> bool:
        """A grade that is said without its test names another one than that which holds."""
        if not graded_in(claim) or self._counts_unnamed(held):
            return False
        return any(
            self._counts_unnamed(t) and self.types.bit[t] & v.mask
            for t in cand
            for v in claim.values
        )

    def _counts_unnamed(self, test: str) -> bool:
        scale = self.grammar.tests[test].scale
        return scale is not None and self.grammar.scales[scale].unnamed

    def _misfit(self, test: str, val: Val) -> bool:
        if val.item is None or val.notdone:
            return False
        if val.deny and val.looked_for:
            return False  # "the ankles I do not get": looked for, of the test that holds
        found = fit(
            self.grammar,
            test,
            Said(grade=val.item.grade, readings=val.item.readings, negated=val.negated),
        )
        return found is None or found.misfit in ("scale", "value")


def graded_in(claim: Claim) -> bool:
    """A grade or a number is among what was said."""
    return any(v.item is not None and v.item.grade is not None for v in claim.values)


def _goes_on(claim: Claim, target: Target, test: str, holds: Holds) -> bool:
    """ "Ashworth one plus at the right knee, ankle two": a grade, after one of the same test."""
    if any(r.group == "muscle" for r in target.name.sites):
        return False  # a movement is graded for its strength, whatever was graded before it
    graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
    near = (holds.item_test, holds.test)
    return graded and any(
        h and h.id == test and h.graded and h.utterance == holds.now for h in near
    )


def _breaks_off(lattice: Lattice, claim: Claim) -> bool:
    """Names, and nothing but hesitation after them ("and the glabellar tap, well")."""
    if not (claim.hesitant and claim.names) or claim.values or claim.colon:
        return False
    ends = max(b for name in claim.names for _, b in name.spans)
    rest = [it for it in lattice.items if it.start >= ends]
    return all({"HESITATION", "FILLER", "COMMA", "STOP", "MISC"} & set(it.roles) for it in rest)
