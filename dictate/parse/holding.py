"""What an item leaves holding for what follows: its side, test and site."""

from __future__ import annotations

from dictate.model import OTHER_SIDE
from dictate.parse.categories import Claim, Name
from dictate.parse.draft import Draft
from dictate.parse.holds import Hold
from dictate.parse.items import Lattice
from dictate.parse.targets import Target
from dictate.parse.where import of_another_limb
from dictate.parse.working import Working


class Holding(Working):
    """Lets items hold."""

    def _hold_items(
        self, lattice: Lattice, claim: Claim, targets: list[Target], draft: Draft
    ) -> None:
        now = len(self.s.utterances)
        here = self.spoken(lattice, claim)
        tests = {f.test for f in draft.findings} or set(draft.tests)
        self._end_limb(draft)
        self._end_item_limb(draft)
        for target in targets:
            side = target.side or (claim.side if claim.side != "alike" else None)
            if side in ("right", "left", "both"):
                areas = {self.grammar.area_of(t).area for t in tests}
                limbs = any(
                    isinstance(self.grammar.tests[t].sites, str)
                    for t in tests
                    if self.grammar.sites_of(t)
                )
                area = areas.pop() if len(areas) == 1 and not limbs else ""
                self.hold(item_side=Hold(side, here, now, area), side=None)
        parts = any(r.id != "all" and not r.test for t in targets for r in t.name.sites)
        self.hold(near=self.s.holds.near | tests, near_site=self.s.holds.near_site or parts)
        if len(tests) == 1 and self.grammar.sites_of(next(iter(tests))):
            test = next(iter(tests))
            graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
            self.hold(item_test=Hold(test, here, now, graded=graded))
        if claim.places and claim.names and draft.findings:
            p = claim.places[0]
            lead = (
                p.spans
                and claim.names[0].spans
                and min(p.spans) < max(s for s in claim.names[0].spans if s not in p.spans)
            )
            if lead and p.sites:
                where = draft.findings[0].site or p.sites[0].id
                side = _side_of(p, claim)
                self.hold(item_site=Hold(where, here, now, side=side))
        first = targets[0].name if targets else None
        if first is not None and first.limb and draft.findings:
            side = _side_of(first, claim)  # "left leg hip flexion four, ..."
            self.hold(item_site=Hold(first.limb, here, now, side=side))
        if (
            first is not None
            and claim.names
            and len(first.spans) > 1
            and any(r.group == "limb" for r in first.sites)
        ):
            limb = next(r for r in first.sites if r.group == "limb")
            begins = min(first.spans)
            at = next(
                (it for it in lattice.items if it.start >= begins[0] and "SITE" in it.roles), None
            )
            test_at = next(
                (it for it in lattice.items if it.start >= begins[0] and "TEST" in it.roles), None
            )
            if (
                first.tests
                and not first.placed
                and at is not None
                and test_at is not None
                and at.start < test_at.start
                and limb.id != "all"
            ):
                self.hold(item_site=Hold(limb.id, here, now, side=_side_of(first, claim)))

    def _end_limb(self, draft: Draft) -> None:
        """A heading that is a limb with its side ends where a part of another limb is found."""
        limb, side = self.s.holds.site, self.s.holds.side
        for found in draft.findings:
            entry = self.grammar.sites_of(found.test).get(found.site or "")
            if (
                side is not None
                and of_another_limb(self.s.holds, side, entry, found.site)
                and limb is not None
            ):
                self.hold(site=None, side=None)
                return

    def _end_item_limb(self, draft: Draft) -> None:
        """A limb said with an item ends at the other side, and at what is no part of it."""
        limb, side = self.s.holds.item_site, self.s.holds.item_side
        if limb is None:
            return
        for found in draft.findings:
            entry = self.grammar.sites_of(found.test).get(found.site or "")
            turned = side is not None and OTHER_SIDE.get(side.id) == found.side
            apart = entry is not None and bool(entry.part_of) and limb.id not in entry.part_of
            if (turned and found.site != limb.id) or apart:
                self.hold(item_site=None)

    def _section_of(self, draft: Draft) -> bool:
        tests = [f.test for f in draft.findings] or draft.tests[:1]
        if not tests or all(self.grammar.tests[t].everyday for t in tests):
            return False
        sections = {self.grammar.area_of(t).area for t in draft.tests}
        if not draft.findings and len(sections) > 1:
            return False
        section = self.grammar.area_of(tests[0]).area
        holds = self.s.holds
        now = len(self.s.utterances)
        left = False
        if holds.section not in (None, section):
            left = self.leave_section()
        old = holds.test if holds.section is None else None
        earlier = old is not None and old.utterance != now
        if old is not None and earlier and self.grammar.area_of(old.id).area != section:
            self.hold(test=None)
        held = self.s.holds.test
        before = held is not None and held.utterance != now
        if held is not None and any(
            test != held.id and (before or self.grammar.tests[test].heading) for test in tests
        ):
            self.hold(test=None)  # "Tone: ...", "power five", "hip flexion four": no tone
        self.hold(section=section)
        return left

    def _unheard(self, lattice: Lattice, claim: Claim) -> str:
        """Words of the claim that were heard with low confidence."""
        if claim.start < 0 or not lattice.utterance.words:
            return ""
        start, end = lattice.tokens[claim.start].start, lattice.tokens[claim.end - 1].end
        for word in lattice.utterance.words:
            inside = word.start < end and start < word.end
            if (
                inside
                and word.agreed is None
                and word.confidence is not None
                and word.confidence < 0.5
            ):
                items = [
                    it
                    for it in lattice.items
                    if lattice.tokens[it.start].start < word.end
                    and word.start < lattice.tokens[it.end - 1].end
                ]
                if any(
                    it.roles[0] not in ("MISC", "HESITATION", "PREP", "COMMA", "STOP")
                    for it in items
                ):
                    return word.text
        return ""


def _side_of(limb: Name, claim: Claim) -> str | None:
    """The side that a limb was said with; both where it is named in the plural."""
    said = limb.side or (claim.side if claim.side in (*OTHER_SIDE, "both") else None)
    return said or ("both" if limb.both else None)
