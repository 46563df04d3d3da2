"""One statement to findings, or to the first thing that must be asked about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from dictate.grammar.names import WHOLE
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Span, Statement, Target
from dictate.model import Finding, Place, QuestionKind
from dictate.resolve.context import Hold, Holds
from dictate.resolve.fit import (
    NOT_DONE,
    fit,
    is_normal,
    settles_scale,
    side_rule,
    uncovered,
)
from dictate.resolve.lessened import lessened
from dictate.resolve.parts_named import narrowed, parts_named
from dictate.resolve.places import detail_of, lent_name, places_of
from dictate.resolve.sides import Sides
from dictate.resolve.targets import Combo

#: What is asked first where one statement lacks several things.
FIRST: tuple[QuestionKind, ...] = (
    "heard", "scale", "conflict", "value", "site", "test", "side", "referent",
)  # fmt: skip


@dataclass(slots=True)
class Draft:
    """Findings of a statement, and what must be asked: (kind, test, site, value or choices)."""

    findings: list[Finding] = field(default_factory=list)
    labels: list[frozenset[str]] = field(default_factory=list)
    asks: list[tuple[QuestionKind, list[str]]] = field(default_factory=list)
    tests: list[str] = field(default_factory=list)
    site: str | None = None
    #: What would have been recorded if every word had been understood, and those that were not.
    held: tuple[Finding, ...] = ()
    #: A word that may turn it round is left over.
    turned: bool = False
    strange: str = ""
    strange_at: tuple[tuple[int, int], ...] = ()

    def drop(self, test: str) -> None:
        """Leave a test out."""
        self.keep(lambda finding: finding.test != test)
        self.tests = [name for name in self.tests if name != test]

    def keep(self, wanted: Callable[[Finding], bool]) -> None:
        """Keep the findings that are wanted, with what belongs to them."""
        kept = [i for i, finding in enumerate(self.findings) if wanted(finding)]
        self.findings = [self.findings[i] for i in kept]
        self.labels = [self.labels[i] for i in kept]

    @property
    def ask(self) -> tuple[QuestionKind, list[str]] | None:
        """The one question of the statement: the first that its answer depends on."""
        return min(self.asks, key=lambda ask: FIRST.index(ask[0]), default=None)


class Drafter(Sides):
    """Works out statements; a pure function of statement, holds and overrides."""

    def draft(
        self, reading: Reading, st: Statement, holds: Holds, overrides: dict[str, str] | None = None
    ) -> Draft:
        """Findings and questions of one statement.

        Args:
            reading: The utterance it stands in.
            st: The statement.
            holds: What headings and earlier items give it.
            overrides: Answers given so far: ``side``, ``test``, ``site``, ``value``.
        """
        out = Draft()
        given = dict(overrides or {})
        open_ = st.doubts or (st.unclear and st.targets)
        if open_ and "value" not in given and (st.has_value or st.targets):
            out.asks.append(("value", []))
        combos = list(self._combos(st, holds, given))
        if not combos and st.parts:
            names = [term.test for term, _ in st.parts]
            combos = [Combo(names[:1], None, Target(spans=list(st.spans)))]
        if not combos and (test := self._by_delay(reading, st) or self._by_line(st)):
            combos = [_of_value(st, test)]
        if not combos and not st.sections and (test := self._by_held(st, holds)):
            combos = [_of_value(st, test)]
        if not combos and st.not_done and (named := self._by_section(reading, st)):
            combos = [Combo(named, None, Target(spans=list(st.spans)))]
        if not combos and st.has_value:
            self._no_target(st, given, out)
            if given.get("site") and out.asks == [("site", [])] and len(out.tests) == 1:
                combos, out.asks = [_of_value(st, out.tests[0])], []
        if out.asks and len(combos) == 1 and (site := combos[0].site) is not None:
            out.site = site.id
        for combo in combos:
            self._one(reading, st, combo, holds, given, out)
        if st.compared and not st.values and not out.findings and not out.asks:
            out.asks.append(("value", []))
        if out.asks and any(kind == "value" for kind, _ in out.asks) and (st.doubts or st.unclear):
            out.findings, out.labels = [], []
        return out

    def _by_delay(self, reading: Reading, st: Statement) -> str | None:
        """ "Two of three at five minutes": the time after which it is tested names the test."""
        units = {reading.norms(span)[-1] for span in st.details}
        begin = {start for start, _ in st.details}
        strange = [end for _, end in st.unknown if end not in begin]  # "after ten minutes"
        for name, test in self.grammar.tests.items():
            if not strange and units.intersection(test.after):
                fits = [fit(self.grammar, name, said) for said in st.values]
                if fits and all(f is not None and f.from_grade for f in fits):
                    return name
        return None

    def _by_section(self, reading: Reading, st: Statement) -> list[str]:
        """ "Refused the gait exam": the test that a section is named after was not done."""
        for area in self.grammar.areas:
            if area.area not in st.sections:
                continue
            for name, test in area.tests.items():
                if {*test.spoken, *test.plural} & {*area.heading.spoken}:
                    return [name]
        return []

    def _by_line(self, st: Statement) -> str | None:
        """A line of an acuity chart ("20/40") names its test by itself."""
        for said in st.values:
            if st.unknown or (
                said.grade is not None and said.grade.of in self.grammar.denominators
            ):
                continue  # "four out of five" may be another scale's
            for name, test in self.grammar.tests.items():
                scale = self.grammar.scales[test.scale] if test.scale else None
                if scale is None or scale.kind != "acuity" or said.grade is None:
                    continue
                if said.grade.of in {str(line) for line in scale.second} and fit(
                    self.grammar, name, said
                ):
                    return name
        return None

    def _by_held(self, st: Statement, holds: Holds) -> str | None:
        """ "Gait: slow. Wide-based.": a word of the test that holds, or "otherwise intact"."""
        hold = holds.item_test or holds.test
        if hold is None or not st.values:
            return None
        if any(said.grade is not None for said in st.values):
            going_on = st.rest and holds.item_test is not None
            fits = [fit(self.grammar, hold.id, said) for said in st.values]
            return hold.id if going_on and all(f and not f.misfit for f in fits) else None
        own = all(any(r.test == hold.id for r in said.readings) for said in st.values)
        rest = st.rest and all(fit(self.grammar, hold.id, said) for said in st.values)
        return hold.id if own or (rest and holds.item_test is not None) else None

    def _no_target(self, st: Statement, given: dict[str, str], out: Draft) -> None:
        tests = [
            name
            for name in self.grammar.tests
            for said in st.values
            if settles_scale(self.grammar, name, said)
        ]
        if st.unknown and not tests:
            return
        signed = any(
            said.grade is not None and (said.grade.sign or said.grade.of) for said in st.values
        )
        # a bare number with a side ("two on the left") was said of something: asked, never lost
        sided = st.side in {"right", "left"} and any(said.grade is not None for said in st.values)
        if tests or signed or (sided and not st.unknown):
            misfit = tests and any(
                (f := fit(self.grammar, tests[0], s)) is not None and f.misfit == "scale"
                for s in st.values
            )
            out.tests = tests
            out.asks.append(("scale" if misfit else "site", []))

    def _one(
        self, reading: Reading, st: Statement, combo: Combo, holds: Holds,
        given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        tests = [given["test"]] if given.get("test") in combo.tests else combo.tests
        if combo.target.odd and combo.target.tests:
            return
        bare = st.denied and not st.values
        if not combo.own_test:
            tests = self._may_be_said(reading, st, tests)
        unnamed = not combo.own_test and (len(tests) == 1 or bare)
        if unnamed and any(self._guessed(reading, st, combo, test, holds) for test in tests):
            return
        out.tests.extend(t for t in tests if t not in out.tests)
        if self._of_other(st, combo, tests, holds) and "test" not in given:
            out.asks.append(("test", tests))
            return
        if any(not term.id for term in combo.target.sites):
            if "site" not in given:
                out.asks.append(("site", []))
                return
            combo = replace(combo, site=None, target=replace(combo.target, sites=[]))
        out.site = combo.site.id if combo.site and not out.asks else out.site
        hits, problems = self._values(st, combo, tests, given)
        stray = problems and problems[0][0] == "scale" and not combo.own_test
        if not hits and st.unknown and stray:
            return
        open_ = st.hesitant or st.link == "except"  # an exception not understood is asked about
        if not hits and st.unknown and not st.has_value and not open_:
            return
        if not hits:
            out.asks.append(problems[0] if problems else ("value", []))
            return
        if len({test for test, _ in hits}) > 1 and not combo.own_test:
            out.asks.append(("test", list(dict.fromkeys(test for test, _ in hits))))
            return
        asked, found = len(out.asks), len(out.findings)
        one = {st.side, *(target.side for target in st.targets)} & {"right", "left"}
        hits = uncovered(self.grammar, hits, bool(one))
        for test, value in hits:
            self._place(reading, st, combo, test, value, holds, given, out)
        if len(out.asks) > asked and len(hits) > len({test for test, _ in hits}):
            # "tone increased normal": where one of the two is open, the other is not sure
            del out.findings[found:], out.labels[found:]
            out.asks[asked:] = [("value", [])]
        out.asks.extend(problems)

    def _guessed(
        self, reading: Reading, st: Statement, combo: Combo, test: str, holds: Holds
    ) -> bool:
        """Nothing but the site speaks for this test: no grade, no word of its own, no heading."""
        if any(hold is not None and hold.id == test for hold in (holds.item_test, holds.test)):
            return False
        if any(said.grade is not None for said in st.values):
            return False
        own = {reading.test for said in st.values for reading in said.readings}
        if not st.has_value or test in own or combo.signs:
            return False
        if any(t.tests for t in st.targets if t is not combo.target):
            return True  # another test was named, and the word is said of that one
        takers = self._may_be_said(reading, st, self._all_takers(combo.target, st))
        if takers == [test]:
            return False
        fits = [t for t in takers if any(fit(self.grammar, t, said) for said in st.values)]
        # "left arm weak": the word can be said of no other test of the arm
        return fits != [test] or bool(st.unknown)

    def _place(
        self, reading: Reading, st: Statement, combo: Combo, test: str, value: str,
        holds: Holds, given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        sites = self.grammar.sites_of(test)
        normal = is_normal(self.grammar, test, value)
        if self._throughout(reading, combo):
            limb = holds.item_site or holds.site
            if limb is not None and not limb.part and holds.item_side is not None:
                out.asks.append(
                    ("site", [limb.id, WHOLE])
                )  # "right arm drift, power five throughout"
                return
            here = holds.site is not None and holds.site.place.utterance == reading.utterance.id
            if here or holds.side is not None:
                combo = replace(combo, site=None)  # the whole of what the heading names
            elif combo.site is not None:
                holds = holds.copy()
                holds.site = None  # of its heading the side has ended, and so has the limb
        if combo.site is not None and self._finer(st, combo, test):
            out.asks.append(("site", []))
            return
        extra: list[Place] = []
        site, kept = (combo.site.id, combo.site.kept or None) if combo.site else (None, None)
        hold = holds.item_site or holds.site
        spec = self.grammar.tests[test]
        again = holds.item_test is not None and holds.item_test.id == test
        if hold is not None and hold is holds.site and hold.more and combo.site is None and sites:
            for name in (*hold.more, hold.id):  # "right arm and leg: power four"
                one = holds.copy()
                one.site = replace(hold, id=name, more=())
                self._place(reading, st, combo, test, value, one, given, out)
            return
        if hold is not None and hold.part and (again or st.rest or hold.id not in sites):
            hold = holds.site  # "right ankle reflex absent, reflexes otherwise two plus"
        one_side = holds.side is not None or bool(_side_words(st, combo))
        under = spec.of_limbs and (hold is not None or one_side)  # "left arm: motor intact"
        if not sites and normal and (under or (spec.side == "none" and _of_limb(st))):
            out.asks.append(("test", []))  # what is normal of one limb is not so of the whole
            return
        if site is None and sites:
            if given.get("site") in sites:
                site = given["site"]
            elif hold is not None and hold.part:
                out.asks.append(("site", []))  # there, or everywhere?
                return
            elif hold is not None and hold.id in sites and not self._beyond(reading, st, hold):
                site, extra = hold.id, [hold.place]
                if hold.side and not (st.side or combo.target.side):
                    given = {"side": hold.side, **given}  # "in the legs tone normal, no wasting"
            elif (own := lent_name(self.grammar, test, value, holds.near)) and not st.lost_place:
                self._place(reading, st, combo, own, value, holds, given, out)
                return
            elif (
                st.lost_place
                or self._elsewhere(st, test)
                or self._place_lent(test, holds, reading)
                or (isinstance(spec.sites, str) and _is_where(combo, hold))
                or _rest_of_what(st, holds)
            ):
                out.asks.append(("site", []))
                return
            else:
                site = self._whole(test, value, normal, st, sites)
                if site == "?":
                    out.asks.append(("site", []))
                    return
        said = {reading.text(span).lower() for span in st.details} if st.details else set()
        if site is not None and said:
            site = narrowed(self.grammar, test, site, said)
        parts = parts_named(self.grammar, test, said) if site == WHOLE and said else ()
        for part in parts or (site,):
            self._there(reading, st, combo, test, part, kept, value, holds, given, out, extra)

    def _there(
        self, reading: Reading, st: Statement, combo: Combo, test: str, site: str | None,
        kept: str | None, value: str, holds: Holds, given: dict[str, str], out: Draft,
        extra: list[Place],
    ) -> None:  # fmt: skip
        """The findings at one site, or the question for its side."""
        normal = is_normal(self.grammar, test, value)
        spans: list[Span] = [*combo.target.spans, *(s for m in combo.more if m for s in m.spans)]
        sides, side_places = self._sides(
            st, combo, test, site, value, holds, given, reading.utterance.id
        )
        if sides is None or (st.symmetric and sides in (["right"], ["left"])):
            out.asks.append(("side", []))  # "right face symmetric": a side is not like itself
            return
        extra = [*extra, *side_places]
        places = places_of(reading, st, spans, extra)
        details = detail_of(reading, st, self.grammar, test, value, combo.target)
        if normal and self._lessened(reading, st, combo):
            out.asks.append(("value", []))
            return
        if sides == [None] and side_rule(self.grammar, test, site, value) == "none":
            details = (*details, *_side_words(st, combo))
        labels = frozenset(reading.text(span) for term, span in st.labels if term.test == test)
        halves = self._halves(test, site, kept, sides)
        for part, side in [(part, side) for part in halves for side in sides]:
            shown = kept if part == site else None
            out.findings.append(
                Finding(test, part, side, value, details, normal, places, shown)  # type: ignore[arg-type]
            )
            out.labels.append(labels)

    def _lessened(self, reading: Reading, st: Statement, combo: Combo) -> bool:
        """ "The left pupil barely reacts"."""
        said = [span for value in st.values for span in value.spans]
        said += combo.target.spans if combo.signs else []
        words = [token.norm for token in reading.tokens]
        return lessened(self.grammar, words, st.details, said)

    def _halves(
        self, test: str, site: str | None, kept: str | None, sides: list[str | None]
    ) -> list[str | None]:
        """ "the right upper and lower limbs": with one side, the sites that the name means."""
        entry = self.grammar.sites_of(test).get(site or "")
        if entry is None or kept is None or len(sides) != 1 or sides[0] is None:
            return [site]
        return [half for half in entry.halves.get(kept, ()) if half] or [site]

    def _elsewhere(self, st: Statement, test: str) -> bool:
        """ "Bulk reduced in the hand flexors": a place was said, and this test does not take it."""
        places = [t for t in st.targets if t.placed and t.sites and not (t.tests or t.signs)]
        return bool(places) and not any(self._takes([test], place) for place in places)

    def _of_other(self, st: Statement, combo: Combo, tests: list[str], holds: Holds) -> bool:
        """ "Power is four ..., three at the ankle": a bare grade that the test just named has too.

        Its site is of another test; which of the two was meant is not said.
        """
        if combo.own_test or not st.values:
            return False
        grades = [said.grade for said in st.values]
        bare = all(g is not None and not (g.sign or g.of or g.plusses) for g in grades)
        near = holds.near | ({holds.item_test.id} if holds.item_test else set())
        return bare and any(
            all((f := fit(self.grammar, name, v)) is not None and not f.misfit for v in st.values)
            for name in near
            if name not in tests and not near & set(tests) and not self._bare_only(name, st)
        )

    def _finer(self, st: Statement, combo: Combo, test: str) -> bool:
        """ "In the leg power is four at the hip": a place that this test does not take was said."""
        own = [combo.target, *combo.more]
        if combo.site is None or combo.site.group not in {"muscle", "limb"} or not st.values:
            return False
        limb = any(r.group == "limb" for target in own for r in target.sites)
        others = [t for t in st.targets if not any(t is x for x in own)]
        places = [t for t in others if t.placed and t.sites and not (t.tests or t.signs)]
        return limb and any(not self._takes([test], place) for place in places)

    def _throughout(self, reading: Reading, combo: Combo) -> bool:
        """The whole body was named by a word that may mean the whole of what was named before."""
        if combo.site is None or combo.site.id != WHOLE:
            return False
        words = {" ".join(reading.norms(span)) for span in combo.target.spans}
        return bool(words.intersection(self.grammar.speech.throughout))

    def _beyond(self, reading: Reading, st: Statement, hold: Hold) -> bool:
        """ "Otherwise normal" goes beyond a limb that was the heading of another utterance."""
        return st.rest and hold.place.utterance != reading.utterance.id

    def _place_lent(self, test: str, holds: Holds, reading: Reading) -> bool:
        """ "Tongue midline, no fasciculations": perhaps of the tongue, perhaps of the limbs.

        So it is with what heads the utterance ("face: power normal").
        """
        head = holds.test
        here = head is not None and head.place.utterance == reading.utterance.id
        near = {*holds.near, *([head.id] if head is not None and here else [])}
        tests = self.grammar.tests  # after "tone normal" it is of the limbs again
        lent = any(test in tests[one].lends_place for one in near)
        return lent and not any(tests[one].of_limbs and one != test for one in near)

    def _whole(
        self, test: str, value: str, normal: bool | None, st: Statement, sites: Mapping[str, object]
    ) -> str | None:
        """The site of a statement about the whole test; "?" where it must be asked."""
        spec = self.grammar.tests[test]
        whole = "all" if "all" in sites else None
        names = [r for target in st.targets for r in target.tests if r.test == test]
        bare = bool(names) and all(r.kind == "after_site" for r in names)
        if bare and (st.denied or not any(r.plural for r in names)):
            return "?"  # "the jerk two plus" is one of several; "no jerks" may be of another kind
        if whole and spec.counted and any(said.grade is not None for said in st.values):
            return "?"  # tries are made at one place
        if value in NOT_DONE or normal is True:
            return whole
        if value in spec.values and spec.values[value].site:
            return spec.values[value].site
        if spec.site_not_said:
            return spec.site_not_said
        if value == "absent" or value == spec.denied:
            return whole
        if (st.both_after or st.symmetric or st.side == "both" or st.both_compared) and whole:
            return whole
        return "?"


def _of_value(st: Statement, test: str) -> Combo:
    """A test whose name was not said: its value alone names it ("20/40", "four out of five")."""
    return Combo([test], None, Target(spans=list(st.values[0].spans)))


def _rest_of_what(st: Statement, holds: Holds) -> bool:
    """ "Right deltoid four, otherwise five": of that side, of the limb, or of the whole?"""
    graded = any(said.grade is not None for said in st.values)
    sided = holds.item_side is not None and holds.test is None
    return st.rest and graded and (holds.side is not None or sided)


def _side_words(st: Statement, combo: Combo) -> list[str]:
    """ "Follows commands on the left": a side said of a test that has none is kept as said."""
    side = combo.target.side or st.side
    return [side] if side in {"right", "left"} else []


def _of_limb(st: Statement) -> bool:
    """ "Coordination normal in the left arm": said of one limb, or of a pair of them."""
    places = [t for t in st.targets if t.placed and t.sites and not (t.tests or t.signs)]
    return any(r.group == "limb" and r.id != WHOLE for target in places for r in target.sites)


def _is_where(combo: Combo, hold: Hold | None) -> bool:
    """ "Right knee power five": a part of the body was named, here or by a heading."""
    parts = (r for r in combo.target.sites if r.group in {"region", "limb", "muscle"})
    named = not combo.target.dual and any(r.id != WHOLE for r in parts)
    return named or hold is not None
