"""Claims into findings and questions: what holds, what is denied again, what an item leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.interpret.beside import forms
from dictate.model import (
    Choice,
    Question,
    UtteranceKind,
)
from dictate.parse.all_of_side import all_of_side
from dictate.parse.amending import remove
from dictate.parse.categories import Claim, Name, Val
from dictate.parse.decide import decide
from dictate.parse.entering import enter
from dictate.parse.holding import Holding
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice, folded
from dictate.parse.spreading import graded
from dictate.parse.targets import Target


class Stating(Holding):
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
            before = [] if claim.names else _wholes_of(before)
        if claim.unknown and not claim.names:
            before = []
        if (whole := all_of_side(self, lattice, claim)) is not None:
            before = whole
        murky = bool(before) and not claim.names and self.murky and not claim.rest
        self._denies_again(claim)
        for test in {t for n in claim.names for a, _ in n.spans if (t := self.kindred.get(a))}:
            here = self.spoken(lattice, claim)
            self.hold(item_test=Hold(test, here, len(self.s.utterances)))
        if self._comes_with(lattice, claim):
            own = claim.side or claim.pside or any(n.side for n in claim.names)
            self._takes_place(claim)
            for place in claim.places if own else ():
                place.side, place.both = None, False
        if claim.there and not self._takes_place(claim):
            claim.twice = True
        holds = self.s.holds
        draft, targets = self.meaning.draft(lattice, claim, holds, before)
        placed = any(self.grammar.sites_of(f.test) for f in draft.findings)
        if self.lost and placed and not any(t.name.sites for t in targets):
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
        pair = self.unsided and not claim.names and claim.link in ("and", "comma") and graded(claim)
        if pair and draft.findings:
            draft.findings, draft.asks = [], [("side", [])]  # "five and four plus, right then left"
        self.unsided = bool(draft.ask and draft.ask[0] == "side" and graded(claim))
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
                remove(self, entry, "questioned")
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

    def _comes_with(self, lattice: Lattice, claim: Claim) -> bool:
        """ "Ankle jerks four plus with clonus": a sign after "with" is where that was found."""
        name = claim.names[0] if len(claim.names) == 1 else None
        last = next((e.finding for e in self.s.entries if e.id in self.taken[-1:]), None)
        if name is None or last is None or claim.values or claim.places or claim.rest:
            return False
        tests = self.types.names(name.tests)
        if name.sites or len(tests) != 1 or tests[0] == last.test or claim.pneg is not None:
            return False
        sited = [t for t in self.before if t.name.sites]
        if last.site not in self.grammar.sites_of(tests[0]) or len(sited) != 1:
            return False
        words = forms(self.grammar, "only_place")
        between = ("MISC", "DETAIL", "DEGREE", "QUALITY")
        start = min((a for a, _ in name.spans), default=claim.start)
        before = [it for it in lattice.items if it.end <= start and it.roles[0] not in between]
        if not before or folded(before[-1].text) not in words:
            return False
        if not (claim.side or claim.pside or name.side):
            same = {e.finding.side for e in self.s.entries if e.id in self.taken}
            claim.side = "both" if same >= {"right", "left"} else last.side
        return True

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
            not x.tests
            and x.smask & known
            and any(r.group or self.types.bit[r.test] & known for r in x.sites)
            for x in claim.names
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
            words = self.said or self.deny_of
            said = [v for v in words if v.item is not None and v.item.grade is None]
            if said:
                twin = said[-1].copy()
                if words is self.deny_of and _says_no(twin) != self.again:
                    claim.doubts = (*claim.doubts, claim.values[0].span)
                twin.negated = twin.negated if self.again and words is self.deny_of else True
                twin.span = claim.values[0].span
                claim.values = (twin,)
            elif claim.places and self.before:
                self._denied_elsewhere(claim)

    def _denied_elsewhere(self, claim: Claim) -> None:
        """ "Oriented to person and place, not time": the sign, denied of another place."""
        taken = [
            t.name for t in self.before if all(t.name.tests & p.smask for p in claim.places)
        ]  # of "alert, oriented to person, not to time" the first has no such place
        if not taken or not all(name.sign for name in taken):
            return
        first = taken[0]
        if all((name.tests, name.sign) == (first.tests, first.sign) for name in taken):
            name = Name()
            name.tests, name.kinds, name.sign = first.tests, first.kinds, first.sign
            claim.names = (name,)


def _says_no(val: Val) -> bool:
    """It is denied, or says by itself that something is not there ("doesn't react")."""
    return val.negated or (
        val.item is not None and any(r.id == "absent" for r in val.item.readings)
    )


def _wholes_of(targets: Sequence[Target]) -> list[Target]:
    """Each test just named, once: "light touch and pin reduced ..., otherwise intact"."""
    if not all(target.name.tests for target in targets):
        return [_whole_of(target) for target in targets[-1:]]
    return [_whole_of(target) for target in {t.name.tests: t for t in targets}.values()]


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
