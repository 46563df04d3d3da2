"""Where it was found: the site and the sides of a finding, said or held, and its details."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from dictate.grammar.names import WHOLE
from dictate.grammar.schema import Site
from dictate.model import OTHER_SIDE, Finding, Place, Side
from dictate.parse.categories import Claim
from dictate.parse.draft import Draft
from dictate.parse.holds import Hold, Holds
from dictate.parse.items import Lattice
from dictate.parse.saying import Saying
from dictate.parse.targets import Target
from dictate.resolve.fit import NOT_DONE, is_normal, side_rule
from dictate.resolve.lessened import lessened
from dictate.resolve.parts_named import narrowed, parts_named
from dictate.resolve.places import lent_name

BOTH: tuple[str | None, ...] = ("right", "left")


class Where(Saying):
    """Where it was found: site, side, the words that said it."""

    def _place(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, value: str, holds: Holds,
        given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        spec, sites = self.grammar.tests[test], self.grammar.sites_of(test)
        normal = is_normal(self.grammar, test, value)
        name = target.name
        readings = [
            r for r in name.sites
            if r.test == test or self.grammar.takes_site(test, r.group, r.id)
        ]  # fmt: skip
        named = [r for r in readings if not (r.id in sites and sites[r.id].named_only)]
        reading = next(iter(named or readings), None)
        several = next((r.sites for r in name.sites if r.sites and r.test == test), ())
        extra: list[Place] = []
        hold = holds.item_site or holds.site
        site = reading.id if reading is not None else None
        kept = (reading.kept or None) if reading is not None else None
        denied = normal and any(v.deny for v in claim.values)
        if site == WHOLE and not denied and self._throughout(lattice, target):
            of_one = holds.item_side is not None and holds.item_side.id != "both"
            if holds.item_site is not None and of_one:
                out.asks.append(("site", []))  # "right arm drift, power five throughout"
                return
            if hold is not None or holds.side is not None:
                site = None
                name = name.copy()
                name.sites, name.smask = (), 0
                target = replace(target, name=name)
        if claim.twice and (len(claim.places) > 1 or claim.there):
            out.asks.append(("site", []))
            return
        unplaced = not (name.sites or claim.places or given)
        own = lent_name(self.grammar, test, value, holds.near) if unplaced else None
        if own:
            self._place(lattice, claim, target, own, value, holds, given, out)
            return
        if site is None and sites:
            if given.get("site") in sites:
                site = given["site"]
            elif claim.side_cut and hold is None and isinstance(spec.sites, str):
                out.asks.append(("site", []))  # "tone normal in both": in both of what?
                return
            elif self._rest_of_what(claim, holds):
                out.asks.append(("site", []))
                return
            elif (
                hold is not None
                and hold.id in sites
                and (not claim.rest or hold.utterance == holds.now)
            ):
                rows = [hold.id, *hold.more] if hold is holds.site else [hold.id]
                if hold.side and not target.side:
                    given = {"side": hold.side, **given}  # "in the legs tone normal, no wasting"
                for one in rows:
                    self._sided(
                        lattice, claim, target, test, one, None, value, holds, given, out,
                        [hold.place],
                    )  # fmt: skip
                return
            elif (
                target.lost
                or (name.sites and reading is None and isinstance(spec.sites, str))
                or (hold is not None and isinstance(spec.sites, str))
            ):
                out.asks.append(("site", []))
                return
            else:
                site = self._of_whole(claim, target, test, value, normal)
                if site == "?":
                    out.asks.append(("site", []))
                    return
        elif site is None and target.lost and not sites and not claim.names:
            out.asks.append(("test", []))  # "can't tandem, but on his toes he does all right"
            return
        elif site is None and not sites:
            limb = bool(name.sites) or target.lost or hold is not None
            if normal and limb and (spec.of_limbs or (spec.side == "none" and hold is not None)):
                out.asks.append(("test", []))
                return
        if name.sites == () and site == WHOLE and "site" not in given:
            head = holds.test
            here = {head.id} if head is not None and head.utterance == holds.now else set()
            near = [self.grammar.tests[one] for one in holds.near | here if one != test]
            lent = any(test in one.lends_place for one in near) and not any(
                one.of_limbs for one in near
            )  # after "tone normal" it is of the limbs again
            graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
            alike_ = claim.side == "alike" or claim.rest
            if lent or (graded and holds.near_site and isinstance(spec.sites, str) and not alike_):
                out.asks.append(("site", []))
                return
        site = self._narrowed(lattice, claim, test, site)
        parts = self._parts_named(lattice, claim, test) if site == WHOLE else ()
        rows_: tuple[str | None, ...] = several or parts or (site,)
        for part in rows_:
            self._sided(lattice, claim, target, test, part, kept, value, holds, given, out, extra)

    def _parts_named(self, lattice: Lattice, claim: Claim, test: str) -> tuple[str, ...]:
        """ "Facial weakness, upper and lower": words that with another name a site of the test."""
        said = {lattice.text(*span).lower() for _, span in claim.details}
        return parts_named(self.grammar, test, said)

    def _rest_of_what(self, claim: Claim, holds: Holds) -> bool:
        """ "Right deltoid four, otherwise five": of that side, of the limb, or of the whole?"""
        graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
        limb = holds.item_site or holds.site
        headed = limb is not None and limb.utterance == holds.now
        sided = holds.side is not None or holds.item_side is not None
        return claim.rest and graded and sided and not headed

    def _throughout(self, lattice: Lattice, target: Target) -> bool:
        words = {lattice.text(a, b).lower() for a, b in target.name.spans}
        return bool(words & set(self.grammar.speech.throughout))

    def _of_whole(
        self, claim: Claim, target: Target, test: str, value: str, normal: bool | None
    ) -> str | None:
        spec = self.grammar.tests[test]
        whole = WHOLE if test in self._whole else None
        kinds = [r for r in target.name.kinds if r.test == test]
        bare = bool(kinds) and all(r.kind == "after_site" for r in kinds)
        if bare and (any(v.deny for v in claim.values) or not any(r.plural for r in kinds)):
            return "?"
        graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
        if whole and spec.counted and graded:
            return "?"  # tries are made at one place
        if value in NOT_DONE or normal is True:
            return whole
        if value in spec.values and spec.values[value].site:
            return spec.values[value].site
        if spec.site_not_said:
            return spec.site_not_said
        if value == "absent" or value == spec.denied:
            return whole
        both = target.side == "both" and graded
        alike = claim.side == "alike" or any(v.alike for v in claim.values) or both
        return whole if alike and whole else "?"

    def _narrowed(self, lattice: Lattice, claim: Claim, test: str, site: str | None) -> str | None:
        """ "distally in the arms": the part of the limb, where the test has it as a site."""
        if site is None or not claim.details:
            return site
        said = {lattice.text(*span).lower() for _, span in claim.details}
        return narrowed(self.grammar, test, site, said)

    def _sided(
        self,
        lattice: Lattice,
        claim: Claim,
        target: Target,
        test: str,
        site: str | None,
        kept: str | None,
        value: str,
        holds: Holds,
        given: dict[str, str],
        out: Draft,
        extra: list[Place],
    ) -> None:
        sides, more = self._sides(lattice, claim, target, test, site, value, holds, given)
        words = [v for v in claim.values if not v.deny and not v.notdone]
        only_alike = bool(words) and all(v.alike for v in words)
        if sides is None or (only_alike and len(sides) == 1 and sides[0] is not None):
            out.asks.append(("side", []))  # one side is not like itself
            return
        normal = is_normal(self.grammar, test, value)
        places = self._said(lattice, claim, target, [*extra, *more])
        entry = self.grammar.sites_of(test).get(site or "")
        halves: list[str | None] = [site]
        if entry is not None and kept and len(sides) == 1 and sides[0] is not None:
            halves = [h for h in entry.halves.get(kept, ()) if h] or [site]
        details = self._details(lattice, claim, target, test, value)
        if normal and self._lessened(lattice, claim, target):
            out.asks.append(("value", []))
            return
        said = target.side or claim.side or claim.pside
        if side_rule(self.grammar, test, site, value) == "none" and said in ("right", "left"):
            details = (*details, said)
        for half in halves:
            shown = kept if half == site else None
            for side in sides:
                out.findings.append(
                    Finding(
                        test, half, cast("Side | None", side), value, details, normal, places, shown
                    )
                )
                if side and side not in out.sides:
                    out.sides.append(side)

    def _lessened(self, lattice: Lattice, claim: Claim, target: Target) -> bool:
        """ "The left pupil barely reacts"."""
        said = [v.span for v in claim.values]
        said += target.name.spans if target.name.sign else ()
        words = [token.norm for token in lattice.tokens]
        beside = [*claim.degrees, *(span for _, span in claim.details)]
        return lessened(self.grammar, words, beside, said)

    def _sides(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, site: str | None,
        value: str, holds: Holds, given: dict[str, str],
    ) -> tuple[list[str | None] | None, list[Place]]:  # fmt: skip
        rule = side_rule(self.grammar, test, site, value)
        if rule == "none":
            return [None], []
        entry = self.grammar.sites_of(test).get(site or "")
        whole = entry is not None and entry.unsided
        normal = is_normal(self.grammar, test, value)
        healthy = normal is not False and (bool(normal) or value == "absent" or value in NOT_DONE)
        needed = rule == "needed" or (rule == "abnormal" and not healthy)
        said = given.get("side") or target.side
        if said == "other" or said == "alike":
            said = None
        if said == "both":
            undivided = whole and entry is not None and entry.side is None
            return ([None] if undivided else list(BOTH)), []
        if said:
            return [said], []
        head = holds.side
        if head is not None and of_another_limb(holds, head, entry, site):
            head = None
        if whole:
            if head is not None and head.id != "both" and site == WHOLE and not target.name.sites:
                return [head.id], [head.place]
            return [None], []
        plural = target.both
        if (
            plural
            and target.carried in OTHER_SIDE
            and target.name.sites
            and not any(r.plural for r in target.name.sites)
        ):
            return [
                target.carried
            ], []  # "right biceps and triceps jerks": the plural is of the list
        if value in NOT_DONE and not (
            self.grammar.tests[test].side == "needed" and target.name.sites
        ):
            plural = False
        elif not target.name.sites:
            plural = any(
                r.plural and r.test == test and r.kind == "test" for r in target.name.kinds
            )
        item = holds.item_side
        area = item is not None and item.area and item.area != self.grammar.area_of(test).area
        if plural and (rule in ("needed", "abnormal") or value in NOT_DONE):
            held = item or head
            if any(r.group == "limb" and r.plural for r in target.name.sites):
                return list(BOTH), []
            if held is None or held.id == "both" or claim.side == "alike":
                return list(BOTH), []
            limb = holds.item_site or holds.site
            part = entry.part_of if entry is not None else ()
            if limb is not None and limb.id in part:
                return [held.id], [held.place]
            if item is not None:
                return list(BOTH), []
            return None, []
        if needed and target.carried in ("right", "left", "both"):
            return (list(BOTH) if target.carried == "both" else [target.carried]), []
        old_head = head is None or head.utterance != holds.now
        if needed and claim.list_side == "ask" and old_head:
            return None, []
        spread = needed or (rule == "abnormal" and claim.list_far)
        if claim.list_side and old_head and spread and claim.list_side != "ask":
            return (list(BOTH) if claim.list_side == "both" else [claim.list_side]), []
        if claim.side == "alike" and rule == "needed":
            return list(BOTH), []
        if needed and head is None and self._denied_sign(lattice, claim, target, test, value):
            return [None], []
        undone = value in NOT_DONE and site in (None, WHOLE)
        if item is not None and needed and not area and not undone:
            return (list(BOTH) if item.id == "both" else [item.id]), [item.place]
        if head is not None and head.area == "plural" and not needed:
            return [None], []
        if head is not None and item is None:
            return (list(BOTH) if head.id == "both" else [head.id]), [head.place]
        alike = any(v.alike for v in claim.values)
        if alike and needed:
            return list(BOTH), []
        if needed and self._denied_sign(lattice, claim, target, test, value):
            return [None], []
        return (None if needed else [None]), []

    def _denied_sign(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, value: str
    ) -> bool:
        """ "No Babinski": the sign denied is one finding, whatever side its test needs."""
        spec = self.grammar.tests[test].values.get(value)
        said = {w for span in target.name.spans for w in lattice.text(*span).lower().split()}
        if spec is not None and not claim.values and said & {w.lower() for w in spec.spoken}:
            return False  # "plantar flexor": the test with its value, and no sign denied
        return value == self.grammar.tests[test].denied and any(
            r.kind == "sign" and r.test == test for r in target.name.sign
        )


def of_another_limb(holds: Holds, head: Hold, entry: Site | None, site: str | None) -> bool:
    """The side was said of a limb that the site is no part of ("left arm: ... knee jerks")."""
    limb = holds.site
    if limb is None or limb.place != head.place or entry is None or not entry.part_of:
        return False
    return not {limb.id, *limb.more} & {site, *entry.part_of}
