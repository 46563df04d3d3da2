"""Claims into findings and questions: what holds, what is denied again, what an item leaves."""

from __future__ import annotations

from dataclasses import replace

from dictate.model import (
    Choice,
    Question,
    UtteranceKind,
)
from dictate.parse import corrections
from dictate.parse.categories import Claim, Name, Val
from dictate.parse.decide import decide
from dictate.parse.draft import Draft
from dictate.parse.entering import enter
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice
from dictate.parse.targets import Target
from dictate.parse.where import of_another_limb
from dictate.parse.working import Working


class Stating(Working):
    """Claims that state something, into findings and questions."""

    def _fills(self, lattice: Lattice, claim: Claim) -> bool:
        """A value alone, right after a statement that lacked one, completes it."""
        one = next((o for o in self.s.open if o.question.id == self.waited), None)
        if (
            one is None
            or one.claim is None
            or one.lattice is None
            or one.claim.doubts
            or claim.unknown
            or not claim.values
        ):
            return False
        old = one.claim.copy()
        if old.values or old.unknown or any(v.notdone and not v.item for v in claim.values):
            return False
        if any(v.notdone for v in claim.values) and claim.link not in ("start", "waits"):
            return False
        old.values = claim.values
        side = claim.side or claim.pside
        draft, targets = self.meaning.draft(
            one.lattice, _without_spans(old, side), one.holds, one.before
        )
        if not draft.findings or draft.asks:
            return False
        self.do("closed", id=one.question.id)
        here = self.spoken(lattice, claim)
        for finding in draft.findings:
            self.taken += enter(
                self, replace(finding, said=(*finding.said, here)), frozenset(), "start"
            )
        self.before = targets
        return True

    def _state(self, lattice: Lattice, claim: Claim, claims: list[Claim]) -> UtteranceKind | None:
        before = [] if self.blocked and not claim.names else self.before
        if claim.rest:
            before = [] if claim.names else [_whole_of(t) for t in before[-1:]]
        if claim.unknown and not claim.names:
            before = []
        murky = bool(before) and not claim.names and self.murky and not claim.rest
        self._denies_again(claim)
        for test in {t for n in claim.names for a, _ in n.spans if (t := self.kindred.get(a))}:
            here = self.spoken(lattice, claim)
            self.hold(item_test=Hold(test, here, len(self.s.utterances)))
        if claim.there and not self._takes_place(claim):
            claim.twice = True
        holds = self.s.holds
        draft, targets = self.meaning.draft(lattice, claim, holds, before)
        if self.lost and draft.findings and not any(t.name.sites for t in targets):
            draft.findings, draft.asks = [], [("site", [])]
        if self._section_of(draft):
            holds = self.s.holds
            draft, targets = self.meaning.draft(lattice, claim, holds, before)
        open_end = (
            bool(claim.values)
            and not claim.names
            and not claim.places
            and self.blocked
            and bool(self.taken)
        )
        if open_end and not draft.findings and not draft.asks:
            draft.asks = [
                ("value", [])
            ]  # "..., well, she was guessing, so reduced": of what was just said?
            draft.tests = [e.finding.test for e in self.s.entries if e.id == self.taken[-1]]
        if murky and draft.findings and claim.link != "stop":
            draft.findings, draft.asks = [], [("value", [])]
        excepted = claim.link == "except" and bool(self.taken) and not draft.findings
        draft = decide(self, lattice, claim, claims, targets, draft, excepted)
        turned = (
            claim.link == "next"
            and not claim.names
            and not draft.findings
            and draft.asks
            and claim.values
        )
        if turned and self.taken:  # "pinprick normal abnormal": the one is not sure either
            last = max((e.claim for e in self.s.entries if e.id in self.taken), default=-1)
            for entry in [e for e in self.s.entries if e.claim == last]:
                corrections.remove(self, entry, "questioned")
        if not draft.findings and not draft.asks:
            if claim.unknown:
                self.before, self.blocked = [], True
            return "remark"
        self._hold_items(lattice, claim, targets, draft)
        self.before = targets
        self.murky = murky or bool(claim.unknown or claim.leftover or claim.twice)
        self.said = claim.values
        self.placed = bool(claim.places or any(t.name.sites or t.side for t in targets))
        if claim.names:
            self.blocked = False
        heard = self._unheard(lattice, claim)
        if heard and draft.findings:
            said = lattice.text(claim.start, claim.end)
            choices = (Choice("yes", tuple(draft.findings)), Choice("no", ()))
            prompt = f"I am not sure of “{heard}” in “{said}”. Is it right?"
            self.open(
                Question("", "heard", (self.spoken(lattice, claim),), prompt, choices),
                lattice,
                claim,
            )
            return "finding"
        self.told += tuple({f.test for f in draft.findings} or draft.tests[:1])
        for finding in draft.findings:
            labels = frozenset(
                lattice.text(*span)
                for item, span in claim.details
                if any(
                    r.kind in ("detail", "direction") and r.test == finding.test
                    for r in item.readings
                )
                or any(r.kind == "direction" for r in item.readings)
                or _condition(item)
            )
            link = "rest" if claim.rest and claim.link not in ("except", "but") else claim.link
            self.taken += enter(self, finding, labels, link, self.taken)
        if draft.ask is not None:
            self.ask(lattice, claim, draft, draft.ask, before)
        return "finding"

    def _takes_place(self, claim: Claim) -> bool:
        """ "Touch isn't affected there": the place is that of the claim before, if there is one."""
        named = 0
        for name in claim.names:
            named |= name.tests
        if named and not named & ~self.types.siteless:
            return True
        old = [t for t in (self.before or self.prior) if t.name.sites]
        old = [t for t in old if t.side or t.name.side] or old
        if not old or not claim.names:
            return bool(old)
        place = old[-1].name.copy()
        place.tests, place.kinds, place.sign = 0, (), ()
        place.side, place.both = old[-1].side or place.side, old[-1].both
        place.spans = ()
        claim.places = (place,)
        return True

    def _denies_again(self, claim: Claim) -> None:
        """ "..., not in the foot", "right does not": what was said of one, denied of the other."""
        limbs = claim.names and not any(x.tests for x in claim.names) and len(claim.names) == 1
        if (
            limbs
            and claim.pneg is not None
            and not claim.values
            and claim.names[0].side
            and self.before
        ):
            claim.side, claim.names = (
                claim.names[0].side,
                (),
            )  # "left arm drifts, right arm doesn't"
        known = 0
        for target in self.before:
            known |= target.name.tests
        parts = bool(claim.names) and all(
            not x.tests and x.smask & known and any(r.group for r in x.sites) for x in claim.names
        )
        plain = claim.values and all(v.deny and v.item is None for v in claim.values)
        if parts and self.before and plain:
            claim.places, claim.names = (*claim.names, *claim.places), ()  # "but not the face"
        if claim.names:
            return
        if claim.pneg is not None and not claim.values:
            val = Val(None, claim.pneg, self.types.deniable)
            val.deny = True
            claim.values, claim.pneg = (val,), None
        if claim.values and all(v.deny for v in claim.values):
            said = [v for v in self.said if v.item is not None and v.item.grade is None]
            if said:
                twin = said[-1].copy()
                twin.negated = True
                twin.span = claim.values[0].span
                claim.values = (twin,)
            elif claim.places and self.before and all(t.name.sign for t in self.before):
                self._denied_elsewhere(claim)

    def _denied_elsewhere(self, claim: Claim) -> None:
        """ "Oriented to person and place, not time": the sign, denied of another place."""
        first = self.before[0].name
        if all((t.name.tests, t.name.sign) == (first.tests, first.sign) for t in self.before):
            name = Name()
            name.tests, name.kinds, name.sign = first.tests, first.kinds, first.sign
            claim.names = (name,)

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
        if held is not None and any(
            test != held.id and self.grammar.tests[test].heading for test in tests
        ):
            self.hold(test=None)  # "Tone: ...", "power five", "hip flexion four": no tone
        self.hold(section=section)
        return left

    def _hold_items(
        self, lattice: Lattice, claim: Claim, targets: list[Target], draft: Draft
    ) -> None:
        now = len(self.s.utterances)
        here = self.spoken(lattice, claim)
        tests = {f.test for f in draft.findings} or set(draft.tests)
        self._end_limb(draft)
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
            self.hold(item_test=Hold(test, here, now))
        if claim.places and claim.names and draft.findings:
            p = claim.places[0]
            lead = (
                p.spans
                and claim.names[0].spans
                and min(p.spans) < max(s for s in claim.names[0].spans if s not in p.spans)
            )
            if lead and p.sites:
                self.hold(item_site=Hold(draft.findings[0].site or p.sites[0].id, here, now))
        first = targets[0].name if targets else None
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
                self.hold(item_site=Hold(limb.id, here, now))

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


def _whole_of(target: Target) -> Target:
    """The test of a target, without its place and side."""
    name = Name()
    name.tests = target.name.tests
    name.spans = ()
    return Target(name, target.own)


def _condition(item: Item) -> bool:
    return False


def _without_spans(claim: Claim, side: str | None) -> Claim:
    twin = claim.copy()
    if side:
        twin.side = side
    values = []
    for v in twin.values:
        one = v.copy()
        one.span = (0, 0)
        values.append(one)
    twin.values = tuple(values)
    twin.reasons = twin.degrees = twin.details = ()
    return twin
