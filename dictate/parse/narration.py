"""One utterance into a narration: talk, headings, repeats, corrections, then what it states.

Here is who goes first; what a claim means is in ``meaning.py``, what is corrected in
``corrections.py``, whether something is recorded or asked in ``decide.py``.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.interpret.beside import forms
from dictate.model import (
    OTHER_SIDE,
    UTTERANCE_KINDS,
    Utterance,
    UtteranceKind,
)
from dictate.parse import conditions, corrections, instead, resigning, sides_said, values_alone
from dictate.parse.answered import with_answers
from dictate.parse.beside import without_comparing
from dictate.parse.categories import Claim, Val
from dictate.parse.changing import told_to_change
from dictate.parse.comments import without_comments
from dictate.parse.decide import asides
from dictate.parse.denied_lists import denied_lists
from dictate.parse.denied_there import denied_there
from dictate.parse.draft import Draft
from dictate.parse.gathering import gathered, sentences
from dictate.parse.headings import is_heading, take_heading
from dictate.parse.holds import Hold
from dictate.parse.interrupted import interrupts
from dictate.parse.items import Item, Lattice, both, folded, replace_items
from dictate.parse.judging import Judging
from dictate.parse.kindred import tests_of_lists
from dictate.parse.paired import of_the_other
from dictate.parse.pointing import with_that_side
from dictate.parse.repeats import qualified
from dictate.parse.spreading import spread
from dictate.parse.talk import split_talk, trades
from dictate.parse.too import says_too
from dictate.parse.tried import in_place, tried
from dictate.parse.working import Working


def _kinds_said(lattice: Lattice) -> set[str]:
    """The kinds of senses in an utterance; a detail of a test that it names is no correction."""
    named = {r.test for it in lattice.items for r in it.of_kind("test")}
    kinds: set[str] = set()
    for i, item in enumerate(lattice.items):
        own = any(d.test in named for d in item.of_kind("detail"))
        line = lattice.items[i - 1].grade if i and item.of_kind("detail") else None
        if "CUE" in item.roles and (own or (line is not None and line.of is not None)):
            item.roles = tuple(role for role in item.roles if role != "CUE")
            continue
        if any(r.kind == "all_of_it" for r in item.readings) and _of_both(lattice, item):
            continue  # "..., all of that bilaterally"
        kinds |= {r.kind for r in item.readings if item.text != "no"}
    return kinds


def _graded_not(val: Val) -> bool:
    """A grade that is denied."""
    return val.negated and val.item is not None and val.item.grade is not None


def _of_both(lattice: Lattice, item: Item) -> bool:
    """Right after it both sides are said, and before it a value."""
    after = [it for it in lattice.items if it.start >= item.end and it.roles[0] != "MISC"][:1]
    before = any("VALUE" in it.roles for it in lattice.items if it.end <= item.start)
    return before and bool(after) and both(after[0])


def _again(n: Working, items: list[Item]) -> bool:
    """ "Also not", "isn't either": what was denied of the one is denied of the other too."""
    words = n.grammar.classes.get("also_denied", ())
    return any(
        {*it.text.split()} & {*words} or any(r.kind == "also" for r in it.readings) for it in items
    )


def _bare_limb(claim: Claim) -> bool:
    """A limb without a side, and no mark after it."""
    names = (*claim.names, *claim.places)
    sided = claim.side or claim.pside or any(n.side or n.both for n in names)
    return not sided and not claim.colon and bool(names) and not any(n.tests for n in names)


def _strange_heads(items: list[Item]) -> bool:
    """ "Pain: left arm reduced": a heading that nobody knows; what held before it is over."""
    at = next((i for i, it in enumerate(items) if it.roles[0] == "COLON"), 0)
    before = [it for it in items[:at] if it.text[:1].isalpha()]
    named = {"TEST", "SITE", "SIGN", "SIDE", "SECTION", "VALUE", "REPEAT", "REPLACE"}
    exam = any(r.kind == "exam" for it in before for r in it.readings)
    return bool(before) and not exam and not any(named & set(it.roles) for it in before)


#: Kinds of words that correct something.
CORRECTING = {"cue", "cue_weak", "mends", "replace", "take_back", "swap", "flip", "all_of_it"}


#: Roles of a list of graded sites without a side.
_GRADED_LIST = frozenset({"SITE", "COMMA", "AND", "MISC", "PREP", "DEGREE"})


class Narration(Judging):
    """Works on one state; every change goes through ``do`` as an event."""

    def hear(self, utterance: Utterance, meant: bool = False) -> UtteranceKind:
        """Take one utterance; what it says is in the state afterwards.

        Args:
            utterance: The words.
            meant: The examiner says that it is a statement, so nothing of it is talk.
        """
        self.meant = meant
        lattice = self.lattice = self.lattices.read(
            utterance, self.s.holds.columns, self.s.holds.told
        )
        self.hold(columns=lattice.columns, told=lattice.told)
        held = self.s.holds.side.id if self.s.holds.side is not None else None
        with_that_side(lattice, held if held in OTHER_SIDE else self._last_side())
        said = _kinds_said(lattice)
        self.correcting = False
        self.strayed = False
        cue = bool(said & {"cue", "flip", "swap", "all_of_it"})
        first_event = len(self.events)
        self.waited = self.s.waiting
        self.do("set", waiting=None, labelled=self.s.labelled or lattice.speaker == "examiner")
        self.hold(
            item_test=None, item_side=None, item_site=None, near=frozenset(), list_side=None,
            now=len(self.s.utterances),
        )  # fmt: skip
        kinds: set[UtteranceKind] = set()
        self.account = self.nerve = False
        self.prior, self.prior_said = [], ()
        if lattice.speaker == "patient" and self.s.labelled and not meant:
            self.do("listed", utterance=replace(utterance, kind="by_patient", readings=()))
            return "by_patient"
        self.before, self.told, self.taken = [], (), []
        last_one = len(self.s.utterances) - 1
        self.found_before = [e.id for e in self.s.entries if e.utterance == last_one]
        self._of_it(lattice)
        self.kindred = tests_of_lists(self.types, lattice)
        rows = [*resigning.parted(self.grammar, sentences(lattice))]
        for n, row in enumerate(rows):
            if not meant and interrupts(self, row):
                kinds.add("remark")
                continue
            told = told_to_change(self.grammar, row)
            items = without_comparing(self.grammar, lattice, told, n + 1 < len(rows))
            self.heard = bool(n) and any(
                e.kind in ("added", "asked") for e in self.events[first_event:]
            )
            kinds |= self._sentence(lattice, items)
        corrected = any(
            e.kind == "past" and e.data["change"].what in ("corrected", "taken_back")
            for e in self.events[first_event:]
        )
        if cue and not corrected and not any(e.kind == "asked" for e in self.events[first_event:]):
            kinds |= corrections.doubt_last(self, lattice)
        kind: UtteranceKind = next((k for k in UTTERANCE_KINDS if k in kinds), "remark")
        self.do("listed", utterance=replace(utterance, kind=kind))
        return kind

    def _last_side(self) -> str | None:
        """The side of what was found last; nothing where that is both."""
        last = self.s.entries[-1].claim if self.s.entries else -1
        sides = {e.finding.side for e in self.s.entries if e.claim == last}
        return sides.pop() if len(sides) == 1 else None

    def _of_it(self, lattice: Lattice) -> None:
        """ "At the knees it is reduced.", after a pause: of the test that was found last."""
        row = next(iter(sentences(lattice)), [])
        found = [e.finding for e in self.s.entries if e.id in self.found_before]
        words = forms(self.grammar, "it")
        it = any(word in words for item in row for word in zip(folded(item.text), strict=False))
        names = [item for item in row if {"TEST", "SIGN", "SITE"} & set(item.roles)]
        last = len(self.s.utterances) - 1
        asked = any(one.utterance == last for one in self.s.open)
        if asked or not (it and names and len({f.test for f in found}) == 1):
            return
        if all("SITE" in item.roles and not {"TEST", "SIGN"} & set(item.roles) for item in names):
            now = len(self.s.utterances)
            self.hold(item_test=Hold(found[-1].test, found[-1].said[-1], now))

    def _sentence(self, lattice: Lattice, items: list[Item]) -> set[UtteranceKind]:
        graded = any(v.item is not None and v.item.grade is not None for v in self.said)
        goes_on = graded and _list_goes_on(lattice, items)
        side = self.s.holds.item_side if goes_on else None
        self.hold(item_side=side, item_site=None, near=frozenset(), list_side=None, near_site=False)
        if self.before:
            self.prior, self.prior_said = self.before, self.said
        several = len(set(self.told)) > 1
        self.told = ()
        self.found_before = self.taken or self.found_before
        self.before, self.taken, self.blocked = [], [], False
        self.said = self.deny_of = ()
        self.again = False
        self.lost = self.fixing = self.placed = self.murky = self.unsided = False
        self.trade = self.strange = 0
        self.waited = self.s.waiting or self.waited
        kinds: set[UtteranceKind] = set()
        for whole in (
            sides_said.of_a_side,
            corrections.of_all,
            instead.erased,
            instead.side_meant,
            resigning.resigned,
        ):
            if (said := whole(self, lattice, items)) is not None:
                return {said}
        head = self._numerals(items)
        if 0 < head < len(items) and items[head].roles[0] == "COLON":
            self.nerve, items = True, items[head + 1 :]  # "V:": what follows is of that nerve
            if not items:
                return {"command"}
        elif 0 < head < len(items) and "VALUE" in items[head].roles:
            written = [lattice.text(it.start, it.end) for it in items[:head]]
            if any(text.isupper() and text != "I" for text in written):
                self.nerve, items = True, items[head:]  # "V intact to light touch"
        other = of_the_other(self, items)
        items = other or items
        items = items if self.meant else without_comments(self.grammar, items)
        if _strange_heads(items):
            self.hold(test=None, item_test=None)
        talk, body = split_talk(self.grammar, items, replying=self.s.replying)
        if other is not None:
            talk, body = None, items
        said_kinds = {r.kind for it in items for r in it.readings}
        if self.meant:
            talk, body = None, items  # an account of another time stays one, and so is asked about
        self.account = (self.account or "account" in said_kinds) and not said_kinds & {"exam"}
        if self.account:
            return {"remark"}
        fixes = said_kinds & {"cue", "flip", "swap", "replace", "take_back"}
        talked = any(it.roles[0] in ("UNKNOWN", "TALK") for it in items)
        fixing = bool(self.kinds_of(items) & CORRECTING)
        self.correcting = fixing or (self.correcting and not self.strayed)
        self.strayed = talked and bool(said_kinds & CORRECTING)
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
        going = self.meant or bool(self.s.entries or self.s.opened or self.s.open)
        named = sum(bool({"TEST", "SIGN", "SITE", "VALUE"} & set(it.roles)) for it in body)
        if not self.trade and not going and self.strange and self.strange * 2 > named:
            return kinds | {"remark"}
        holds = self.s.holds
        held = self.types.of({h.id for h in (holds.item_test, holds.test) if h is not None})
        row = denied_there(tried(denied_lists(body, self.grammar), self.grammar), self.grammar)
        ready = with_answers(row, self.grammar)
        claims = self.chart.parses(ready, waits=bool(self.waited), held=held)[0].chain()
        if row is not body:
            in_place(claims)
        claims = [
            c
            for c in claims
            if not c.empty
            or c.unknown
            or c.talk
            or c.asides
            or c.doubts
            or c.degrees
            or c.compare
            or c.details
        ]
        if talk:
            claims = self._beside_talk(claims)
        spread(self.grammar, lattice, claims)
        last = claims[-1] if claims else None
        if (
            (
                last is not None
                and last.fix == "replace"
                and len(claims) > 1
                and not (last.names or last.values or last.places or last.side or last.pside)
            )
            and claims[-2].link != "start"
            and not claims[-2].fix
        ):
            claims[-2].fix = last.fix  # "the left shin, the left foot rather"
            claims = claims[:-1]
        if body[-1].text == "?":
            for one in claims:
                one.doubts = one.doubts or ((body[-1].start, body[-1].end),)
        claims = conditions.parted(self.types, lattice, gathered(self.types, claims))
        covered = asides(claims, lattice, self.meant)
        if claims and self._speaks_on(body, claims[0]):
            self.before = self.prior
            self.deny_of, self.again = self.prior_said, _again(self, body)
            self.murky = several
        if (test := self._test_of_list(claims)) is not None:
            here = self.spoken(lattice, claims[0])
            self.hold(item_test=Hold(test, here, len(self.s.utterances)))
        if len(claims) == 2 and self._not_that_value(*claims):
            claims[0].fix, claims = "replace", claims[:1]
        self.mistaken = tuple(v for claim in claims for v in claim.values if _graded_not(v))
        skip: Claim | None = None
        for i, claim in enumerate(claims):
            self.do("set", claims=self.s.claims + 1)
            after = claims[i + 1] if i + 1 < len(claims) else None
            if after is not None and instead.in_its_place(self, lattice, claim, after):
                kinds.add("finding")
                skip = after
                continue
            if claim is skip:
                continue
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

    def _numerals(self, items: list[Item]) -> int:
        """How many items at the beginning name nerves by their numbers ("CN V", "V, VII")."""
        numbered = self.lattices.numbered
        head = told = 0
        while head < len(items):
            item = items[head]
            if item.text in self.lattices.numerals:
                told = head + 1
            elif not any(r.kind == "test" and r.test in numbered for r in item.readings):
                break
            head += 1
        return told if told == head else 0

    def _side_of_talk(self, items: list[Item], claim: Claim) -> bool:
        """A side by itself beside words to the patient, or after a question to him."""
        lone = not (claim.names or claim.places or claim.values or claim.sections or claim.repeat)
        before = (it for it in items if it.start < max(claim.start, 1))
        talked = self.s.replying or any(it.roles[0] == "TALK" for it in before)
        return lone and bool(claim.side or claim.pside) and talked

    def kinds_of(self, items: list[Item]) -> set[str]:
        """The kinds of senses in a sentence that count for corrections."""
        lattice = self.lattice
        assert lattice is not None
        return _kinds_said(replace_items(lattice, items))

    def _claim(
        self, lattice: Lattice, items: list[Item], claim: Claim, claims: list[Claim], i: int
    ) -> UtteranceKind | None:
        if (claim.pside or claim.colon) and claim.unknown and not claim.values and not claim.names:
            self.lost = True  # "right blorb: power five": a place that nobody knows
            return "remark"
        if claim.strange and not claim.names and not claim.places:
            self.before, self.blocked = [], True
            return "remark"
        if (kind := values_alone.of_the_last(self, lattice, claim, claims)) is not None:
            return kind
        if claim.empty:
            if claim.unknown or claim.talk:
                self.blocked = True
                self.before = []
            return "remark"
        if self._other_sign_denied(claim):
            return "finding"
        contrast = (
            claim.values
            and all(v.negated for v in claim.values)
            and not (claim.names or claim.places)
        )
        if contrast and self.said and claim.link in ("comma", "next", "and", "but"):
            return None  # "two plus, not three plus": what it is not, beside what it is
        opens = claim.link in ("start", "waits") and not self.said and bool(self.s.entries)
        alone = not (claim.names or claim.places or claim.unknown)
        sided = claim.side or claim.pside
        if alone and opens and not (claim.fix or sided) and any(v.negated for v in claim.values):
            kept = tuple(v for v in claim.values if not v.negated)
            if kept:
                claim.wrong = next(v for v in claim.values if v.negated).copy()
                claim.wrong.negated = False
            claim.fix, claim.values = "replace", kept or claim.values  # "not positive, negative"
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
            return "finding"  # "reduced, not increased, in the right arm": which one is there?
        claim.values = tuple(v for v in claim.values if not _graded_not(v))
        bare = not claim.names and not claim.places and not self.before and not claim.unknown
        if (
            self.fixing
            and bare
            and claim.values
            and not claim.fix
            and claim.link in ("comma", "and")
            and not claim.rest
        ):
            claim.fix, claim.more = "replace", True  # "no, right is five, left is four"
        if (
            self.correcting
            and not claim.fix
            and bare
            and (claim.values or claim.side or claim.pside)
            and not claim.rest
            and not claim.parts
            and not any(c.unknown for c in claims)
        ):
            claim.fix = "replace"  # "not full, sorry, restricted"
        again = self.correcting and not claim.fix and not claim.doubts and len(claims) == 1
        if self._mends_on(claim):
            claim.fix = "replace"  # "sorry, deltoid four, biceps five"
        late = claim.link == "except" and not i and not self.taken and bool(claim.values)
        if late and claim.names and corrections.known(self, claim):
            claim.fix = "replace"  # "The exception is the right triceps, five."
        if again and claim.names and claim.values and corrections.known(self, claim):
            claim.fix = "replace"  # "wrist extension was five, I misspoke"
        if corrections.not_that_side(self, claim, claims[i + 1 :]):
            return "command"
        if claim.fix:
            self.fixing = True
            return corrections.correct(self, lattice, claim, claims, i)
        if claim.those is not None and claim.values:
            return self._of_those(lattice, claim)
        same = claim.repeat and bool(claim.names) and not claim.values
        if same and not qualified(claims[i + 1 :]) and self._likewise(lattice, claim):
            return "finding"
        if says_too(items, claim, self.types.so_too) and self._too(lattice, claim):
            return "finding"  # "ankle jerks two plus, biceps and triceps too"
        if self._is_repeat(items, claim, i):
            return self._repeat(lattice, claim, claims[i + 1 :])
        if self._side_of_talk(items, claim):
            return "to_patient"  # "now look left"
        if is_heading(self.types, claim, len(claims) > 1):
            after = claims[i + 1] if i + 1 < len(claims) else None
            if after is not None and after.link == "next" and _bare_limb(claim):
                return "remark"  # "head turning strong": no heading
            trails = i and after is None and not claim.colon and not claim.sections
            if trails and not (claim.names or claim.places):
                return "remark"  # a side after words that were not understood heads nothing
            return take_heading(self, lattice, claim, alone=len(claims) == 1)
        whole = len(claims) == 1 or not any(v.notdone or v.deny for v in claim.values)
        if (
            self.waited
            and whole
            and not i
            and self._may_fill()
            and not any(c.unknown or c.strange or c.asides for c in claims)
            and not claim.names
            and not claim.places
            and self._fills(lattice, claim)
        ):
            return "finding"
        return self._state(lattice, claim, claims)


def _list_goes_on(lattice: Lattice, items: list[Item]) -> bool:
    """ "Left hip flexion three; knee extension four": after a semicolon the list goes on."""
    if not items or not items[0].start or lattice.tokens[items[0].start - 1].norm != ";":
        return False
    named = [it for it in items if "SITE" in it.roles]
    rest = (it for it in items if it not in named)
    parts = all({r.group for r in it.of_kind("site")} & {"muscle", "reflex"} for it in named)
    plain = all(it.roles[0] in _GRADED_LIST or it.grade is not None for it in rest)
    return bool(named) and parts and plain and not any("TEST" in it.roles for it in named)
