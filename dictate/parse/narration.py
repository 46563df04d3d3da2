"""One utterance into a narration: talk, headings, repeats, corrections, then findings and questions.

Here is who goes first; what a claim means is in ``meaning.py``, what is corrected in
``corrections.py``, whether something is recorded or asked in ``decide.py``.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from dictate.grammar.load import Grammar
from dictate.model import (
    OTHER_SIDE,
    UTTERANCE_KINDS,
    Change,
    Choice,
    Finding,
    Place,
    Question,
    QuestionKind,
    Utterance,
    UtteranceKind,
)
from dictate.parse import corrections
from dictate.parse.categories import Claim, Name, Types, Val, types_of
from dictate.parse.chart import Chart
from dictate.parse.decide import asides, decide
from dictate.parse.entering import enter
from dictate.parse.headings import is_heading, take_heading
from dictate.parse.holds import Hold, Holds
from dictate.parse.items import Item, Lattice
from dictate.parse.lattice import lattices_of
from dictate.parse.meaning import Draft, Meaning, Target
from dictate.parse.state import Event, Open, State, apply
from dictate.parse.talk import split_talk, trades
from dictate.resolve import questions
from dictate.resolve.fit import takes


class Narration:
    """Works on one state; every change goes through ``do`` as an event."""

    def __init__(self, grammar: Grammar, state: State | None = None) -> None:
        """Go on from a state, or from nothing."""
        self.grammar = grammar
        self.lattices = lattices_of(grammar)
        self.types = types_of(grammar)
        self.chart = Chart(self.types)
        self.meaning = Meaning(grammar, self.types)
        self.s = state or State()
        self.events: list[Event] = []
        self.lattice: Lattice | None = None
        #: What the claim before spoke of, in this sentence.
        self.before: list[Target] = []
        self.taken: list[int] = []
        self.blocked = False
        #: Words of a correction stand in this utterance.
        self.correcting = False

    def do(self, kind: str, **data: Any) -> None:
        """Fold in one event."""
        event = Event(kind, data)  # type: ignore[arg-type]
        self.events.append(event)
        self.s = apply(self.s, event)

    def hold(self, **changes: Any) -> None:
        """Change what holds."""
        self.do("held", holds=replace(self.s.holds, **changes))

    # ---- hearing

    def hear(self, utterance: Utterance) -> UtteranceKind:
        """Take one utterance; what it says is in the state afterwards."""
        lattice = self.lattice = self.lattices.read(utterance)
        said = {r.kind for it in lattice.items for r in it.readings if it.text != "no"}
        self.correcting = bool(
            said & {"cue", "cue_weak", "replace", "take_back", "swap", "flip", "all_of_it"}
        )
        cue = bool(said & {"cue", "flip", "swap", "all_of_it"})
        first_event = len(self.events)
        waited, self.waited = self.s.waiting, self.s.waiting
        self.do("set", waiting=None, labelled=self.s.labelled or lattice.speaker == "examiner")
        self.hold(
            item_test=None, item_side=None, item_site=None, near=frozenset(), list_side=None,
            now=len(self.s.utterances),
        )  # fmt: skip
        kinds: set[UtteranceKind] = set()
        self.account = False
        if lattice.speaker == "patient" and self.s.labelled:
            self.do("listed", utterance=replace(utterance, kind="by_patient", readings=()))
            return "by_patient"
        for items in sentences(lattice):
            kinds |= self._sentence(lattice, items)
        corrected = any(
            e.kind == "past" and e.data["change"].what in ("corrected", "taken_back")
            for e in self.events[first_event:]
        )
        if cue and not corrected and not any(e.kind == "asked" for e in self.events[first_event:]):
            kinds |= corrections.doubt_last(self, lattice)
        kind: UtteranceKind = next((k for k in UTTERANCE_KINDS if k in kinds), "remark")
        self.do("listed", utterance=replace(utterance, kind=kind))
        del waited
        return kind

    def _sentence(self, lattice: Lattice, items: list[Item]) -> set[UtteranceKind]:
        self.hold(item_side=None, item_site=None, near=frozenset(), list_side=None, near_site=False)
        self.before, self.taken, self.blocked = [], [], False
        self.said: tuple[Val, ...] = ()
        self.lost = self.fixing = self.placed = False
        self.trade = self.strange = 0
        self.waited = self.s.waiting or self.waited
        kinds: set[UtteranceKind] = set()
        if (said := corrections.of_all(self, lattice, items)) is not None:
            return {said}
        talk, body = split_talk(self.grammar, items, replying=self.s.replying)
        said_kinds = {r.kind for it in items for r in it.readings}
        self.account = (self.account or "account" in said_kinds) and not said_kinds & {"exam"}
        if self.account:
            return {"remark"}
        fixes = said_kinds & {"cue", "flip", "swap", "replace", "take_back"}
        if talk == "by_patient" and fixes and not self.s.replying:
            talk, body = None, items
        if talk == "to_patient" and self.correcting and any("VALUE" in it.roles for it in items):
            talk, body = None, items
        if talk:
            kinds.add(talk)
            asked = talk == "to_patient" and items[-1].text == "?"
            self.do("set", replying=asked or (talk == "by_patient" and self.s.replying))
        if not body:
            return kinds or {"remark"}
        open_ = next((o for o in self.s.open if o.question.id == self.waited), None)
        if (
            open_ is not None
            and open_.claim is not None
            and any(x.sites and not x.tests for x in open_.claim.names)
        ):
            self.hold(near_site=True)
        self.trade = trades(self.grammar, body)
        self.strange = sum(it.end - it.start for it in body if it.roles[0] in ("UNKNOWN", "TALK"))
        going = bool(self.s.entries) or self.s.opened or bool(self.s.open)
        named = sum(bool({"TEST", "SIGN", "SITE", "VALUE"} & set(it.roles)) for it in body)
        if not self.trade and not going and self.strange and self.strange * 2 > named:
            return kinds | {"remark"}
        claims = self.chart.parses(body, waits=bool(self.waited))[0].chain()
        claims = [
            c for c in claims
            if not c.empty or c.unknown or c.talk or c.asides or c.doubts or c.degrees or c.compare or c.details
        ]  # fmt: skip
        if talk:
            claims = [c for c in claims if self._stands_alone(c)]
        self._spread(claims)
        last = claims[-1] if claims else None
        if (
            last is not None
            and last.fix
            and len(claims) > 1
            and not (last.names or last.values or last.places or last.side or last.pside)
        ):
            if claims[-2].link != "start" and not claims[-2].fix:
                claims[-2].fix = last.fix  # "the left shin, the left foot rather"
                claims = claims[:-1]
        if body[-1].text == "?":
            for one in claims:
                one.doubts = one.doubts or ((body[-1].start, body[-1].end),)
        claims = _gathered(self.types, claims)
        covered = asides(claims, lattice)
        for i, claim in enumerate(claims):
            self.do("set", claims=self.s.claims + 1)
            if covered[i]:
                kinds.add("remark")
                self.before, self.blocked = self.meaning.targets(claim, []), False
                continue
            kind = self._claim(lattice, items, claim, claims, i)
            if kind is not None:
                kinds.add(kind)
        if kinds & {"finding", "command"} and not talk:
            self.do("set", replying=False)
        return kinds or {"remark"}

    def _stands_alone(self, claim: Claim) -> bool:
        """After talk only a complete claim counts: a name with its value and nothing unknown."""
        named = bool(claim.names) and (bool(claim.values) or all(n.sign for n in claim.names))
        own = any(n.tests for n in claim.names) or any(
            v.item and v.item.grade for v in claim.values
        )
        return named and own and not claim.unknown and not claim.talk

    def _spread(self, claims: list[Claim]) -> None:
        """A side that comes once at the end of a list of items holds for all of them."""
        row: list[Claim] = []
        for claim in claims:
            said = claim.side or claim.pside or any(n.side for n in (*claim.names, *claim.places))
            if claim.link not in ("and", "comma", "start") or not claim.names or not claim.values:
                row = []
            if said:
                late = claim.side_placed or (claim.side == "both")
                if row and late and claim.side and all(not n.side for n in claim.names):
                    goes_on = claims[claims.index(claim) + 1 :][:1]
                    more = (
                        goes_on
                        and goes_on[0].link in ("comma", "and")
                        and goes_on[0].names
                        and goes_on[0].values
                    )
                    open_ = more and not (
                        goes_on[0].side or goes_on[0].pside or any(n.side for n in goes_on[0].names)
                    )
                    for one in row:
                        one.list_side = "ask" if open_ else claim.side
                row = []
                if claim.names:
                    row = []
                said_before = True
                del said_before
                continue
            if claim.names and claim.values:
                row.append(claim)
        last = claims[-1] if claims else None
        lone = (
            last is not None
            and not last.names
            and not last.values
            and not last.places
            and not last.unknown
        )
        if (
            lone
            and last is not None
            and len(claims) > 1
            and last.link in ("comma", "next")
            and (last.pside or last.side) in ("right", "left", "both")
        ):
            named = [c for c in claims[:-1] if c.values]
            if named and not any(
                c.side or c.pside or any(n.side for n in (*c.names, *c.places)) for c in named
            ):
                for one in named:
                    one.list_side = last.pside or last.side
                last.stop = True
                claims.remove(last)

    # ---- claims

    def _claim(
        self, lattice: Lattice, items: list[Item], claim: Claim, claims: list[Claim], i: int
    ) -> UtteranceKind | None:
        if (claim.pside or claim.colon) and claim.unknown and not claim.values and not claim.names:
            self.lost = True  # "right blorb: power five": a place that nobody knows
            return "remark"
        if claim.strange and not claim.names and not claim.places:
            self.before, self.blocked = [], True
            return "remark"
        if claim.empty:
            if claim.unknown or claim.talk:
                self.blocked = True
                self.before = []
            return "remark"
        contrast = (
            claim.values
            and all(v.negated for v in claim.values)
            and not (claim.names or claim.places)
        )
        if contrast and self.said and claim.link in ("comma", "next", "and", "but"):
            return None  # "two plus, not three plus": what it is not, beside what it is
        negated = (
            claim.values
            and all(v.negated for v in claim.values)
            and not claim.names
            and claim.places
        )
        if negated and self.said and claim.link in ("comma", "next") and not self.placed:
            self.ask(
                lattice,
                claim,
                Draft(tests=[self.s.entries[-1].finding.test] if self.taken else []),
                ("value", []),
            )
            return "finding"  # "reduced, not increased, in the right arm": which of them is of the arm?
        claim.values = tuple(
            v
            for v in claim.values
            if not (v.negated and v.item is not None and v.item.grade is not None)
        )
        bare = not claim.names and not claim.places and not self.before and not claim.unknown
        if (
            self.fixing
            and bare
            and claim.values
            and not claim.fix
            and claim.link in ("comma", "and")
            and not claim.rest
        ):
            claim.fix = "replace"  # "no, right is five, left is four"
        if (
            self.correcting
            and not claim.fix
            and bare
            and (claim.values or claim.side or claim.pside)
            and not claim.rest
            and not claim.parts
        ):
            claim.fix = "replace"  # "not full, sorry, restricted"; "absent was an exaggeration, it's reduced"
        if claim.fix:
            self.fixing = True
            return corrections.correct(self, lattice, claim, claims, i)
        if claim.repeat and claim.names and not claim.values and self._likewise(lattice, claim):
            return "finding"
        if self._is_repeat(items, claim, i):
            return self._repeat(lattice, claim, claims[i + 1 :])
        if is_heading(self.types, claim, len(claims) > 1):
            return take_heading(self, lattice, claim, alone=len(claims) == 1)
        whole = len(claims) == 1 or not any(v.notdone or v.deny for v in claim.values)
        if (
            self.waited
            and whole
            and not claim.names
            and not claim.places
            and self._fills(lattice, claim)
        ):
            return "finding"
        if claim.link in ("colon",) and self.before:
            pass
        return self._state(lattice, claim, claims)

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
        """ "Hamstrings likewise", "gait the same": what was found of the last thing, of this one."""
        if not self.s.entries or all(
            any(r.group == "limb" for r in n.sites) and not n.tests for n in claim.names
        ):
            return False
        last = self.s.entries[-1].finding
        now = len(self.s.utterances)
        source = [
            e for e in self.s.entries
            if (e.finding.test, e.finding.site) == (last.test, last.site) and e.utterance >= now - 1
        ]  # fmt: skip
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
            draft, targets = self.meaning.draft(lattice, twin, holds, (), given)
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
        self._denies_again(claim)
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

    def _denies_again(self, claim: Claim) -> None:
        """ "..., not in the foot", "right does not": what was said of the one is denied of the other."""
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
        if holds.section is None and holds.test is not None and holds.test.utterance != now:
            if self.grammar.area_of(holds.test.id).area != section:
                self.hold(test=None)
        self.hold(section=section)
        return left

    def leave_section(self) -> bool:
        """A new section ends the side, limb and test that held from an earlier utterance."""
        now = len(self.s.utterances)
        gone = {
            name: None
            for name in ("side", "site", "test")
            if (hold := getattr(self.s.holds, name)) is not None and hold.utterance != now
        }
        if gone:
            self.hold(**gone)
        return bool(gone)

    def _hold_items(
        self, lattice: Lattice, claim: Claim, targets: list[Target], draft: Draft
    ) -> None:
        now = len(self.s.utterances)
        here = self.spoken(lattice, claim)
        tests = {f.test for f in draft.findings} or set(draft.tests)
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
            lead = min(first.spans)
            at = next(
                (it for it in lattice.items if it.start >= lead[0] and "SITE" in it.roles), None
            )
            test_at = next(
                (it for it in lattice.items if it.start >= lead[0] and "TEST" in it.roles), None
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

    # ---- asking

    def spoken(self, lattice: Lattice, claim: Claim) -> Place:
        """Where a claim was said."""
        return self.meaning.place(
            lattice, (max(0, claim.start), max(claim.end, claim.start + 1, 1))
        )

    def ask(
        self, lattice: Lattice, claim: Claim, draft: Draft, ask: tuple[QuestionKind, list[str]],
        before: list[Target] | None = None, given: dict[str, str] | None = None,
    ) -> None:  # fmt: skip
        """Open a question about a claim."""
        kind, offered = ask
        holds, behind = self.s.holds, tuple(before or ())
        known = dict(given or {})

        def redo(more: dict[str, str]) -> Draft:
            clear = claim.copy()
            clear.doubts = clear.doubts if "value" not in more else ()
            return self.meaning.draft(lattice, clear, holds, behind, {**known, **more})[0]

        said = lattice.text(max(0, claim.start), max(claim.end, 1))
        doubt = lattice.text(*claim.doubts[0]) if claim.doubts and kind == "value" else ""
        sides = {t for t in draft.sides} or {claim.side, claim.pside} - {
            None,
            "both",
            "alike",
            "other",
        }
        side = next(iter(sides)) if len(sides) == 1 else ""
        question = Question(
            "", kind, (self.spoken(lattice, claim),),
            questions.prompt(self.grammar, kind, draft, said, doubt, side or ""),  # type: ignore[arg-type]
            questions.options(self.grammar, kind, draft, offered, redo),  # type: ignore[arg-type]
        )  # fmt: skip
        self.open(question, lattice, claim, holds, behind, known)
        if kind == "value":
            self.do("set", waiting=self.s.open[-1].question.id)

    def open(
        self, question: Question, lattice: Lattice | None = None, claim: Claim | None = None,
        holds: Holds | None = None, before: tuple[Target, ...] = (), given: dict[str, str] | None = None,
    ) -> None:  # fmt: skip
        """Open a question; it gets its id here."""
        now = len(self.s.utterances)
        again = any(
            o.utterance == now and o.question.kind == question.kind and o.question.prompt == question.prompt
            for o in self.s.open
        )  # fmt: skip
        if again and question.kind == "value":
            return
        named = replace(question, id=f"q{self.s.asked + 1}")
        one = Open(
            named,
            self.s.claims,
            len(self.s.utterances),
            lattice,
            claim,
            holds or Holds(),
            before,
            given or {},
        )
        self.do("asked", open=one)

    def past(
        self, what: str, finding: Finding | None = None, question: Question | None = None
    ) -> None:
        """Write what was taken out into the history."""
        heard = self.lattice.utterance.id if self.lattice else ""
        self.do("past", change=Change(what, heard, finding, question))  # type: ignore[arg-type]


def _gathered(types: Types, claims: list[Claim]) -> list[Claim]:
    """Doubts and qualifiers by themselves belong to the claim before; a bare name that no value came
    to, and that no comma sets apart, is a word that the claim beside it leaves unexplained."""
    out: list[Claim] = []
    for claim in claims:
        if (
            out
            and claim.compare
            and not claim.values
            and not claim.names
            and not claim.places
            and claim.link != "stop"
        ):
            out[-1].compare += claim.compare
            continue
        both = claim.pside or claim.side
        if (
            both == "both"
            and not claim.names
            and not claim.places
            and not claim.values
            and not claim.unknown
            and out
        ):
            last = out[-1]
            if last.names and not last.side and not last.pside:
                last.side, last.side_placed = "both", True
                last.end = max(last.end, claim.end)
                continue
        bare = claim.empty and not (claim.unknown or claim.asides or claim.talk)
        if bare and out and out[-1].stop is False and not claim.compare:
            last = out[-1]
            last.doubts += claim.doubts
            last.degrees += claim.degrees
            last.details += claim.details
            last.end = max(last.end, claim.end)
            continue
        out.append(claim)
    for i, claim in enumerate(out[:-1]):
        after = out[i + 1]
        heads = (
            out[0].heads
            and i
            and claim.side_placed
            and claim.side in ("right", "left")
            and after.link == "next"
        )
        if heads and after.names and not after.side and not after.pside and not after.names[0].side:
            name = after.names[
                0
            ].copy()  # "on the right ... five on the left deltoid five": it heads, as the first did
            name.side = claim.side
            after.names = (name, *after.names[1:])
            claim.side, claim.side_placed = None, False
    for i, claim in enumerate(out):
        alone = (
            i
            and claim.link == "next"
            and not out[i - 1].names
            and not out[i - 1].places
            and out[i - 1].values
        )
        if alone and claim.names and not claim.values:
            claim.leftover = (*claim.leftover, (out[i - 1].start, out[i - 1].end))
        bare = (
            (claim.names or claim.places)
            and not claim.values
            and not claim.colon
            and not claim.repeat
            and not claim.hesitant
        )
        if (
            not bare
            or claim.fix
            or claim.parts
            or claim.announced
            or all(n.sign for n in (*claim.names, *claim.places))
        ):
            continue
        span = (claim.start, claim.end)
        follows = out[i + 1] if i + 1 < len(out) else None
        if (
            follows is not None
            and follows.link == "next"
            and follows.values
            and not (follows.names or follows.places)
        ):
            claim.leftover = (
                *claim.leftover,
                (follows.start, follows.end),
            )  # "the right arm is numb"
        after = out[i + 1] if i + 1 < len(out) else None
        head = is_heading(types, claim, True)
        if after is not None and after.link == "next" and not head and after.values:
            after.leftover = (*after.leftover, span)
        if i and claim.link == "next" and out[i - 1].values and not head and after is not None:
            out[i - 1].leftover = (*out[i - 1].leftover, span)
    return out


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


def sentences(lattice: Lattice) -> list[list[Item]]:
    """The items of each sentence, cut at full stops and line ends."""
    out: list[list[Item]] = []
    row: list[Item] = []
    text, tokens = lattice.utterance.text, lattice.tokens
    for item in lattice.items:
        if (
            row
            and item.start
            and "\n" in text[tokens[item.start - 1].end : tokens[item.start].start]
        ):
            out.append(row)
            row = []
        if item.roles[0] == "STOP":
            if item.text == "?" and row:
                row.append(item)
            if row:
                out.append(row)
            row = []
        else:
            row.append(item)
    if row:
        out.append(row)
    return out
