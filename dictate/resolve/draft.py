"""One statement to findings, or to the first thing that must be asked about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from dictate.interpret.pieces import WHOLE
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Span, Statement, Target
from dictate.model import Finding, Place, QuestionKind
from dictate.resolve.context import Hold, Holds
from dictate.resolve.fit import NOT_DONE, fit, is_normal, settles_scale, side_rule
from dictate.resolve.places import detail_of, places_of
from dictate.resolve.targets import Combo
from dictate.resolve.values import Values

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


class Drafter(Values):
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
        if not combos and (test := self._by_line(st)):
            combos = [Combo([test], None, Target(spans=list(st.values[0].spans)))]
        if not combos and not st.sections and (test := self._by_held(st, holds)):
            combos = [Combo([test], None, Target(spans=list(st.values[0].spans)))]
        if not combos and st.has_value:
            self._no_target(st, given, out)
        for combo in combos:
            self._one(reading, st, combo, holds, given, out)
        if st.compared and not st.values and not out.findings and not out.asks:
            out.asks.append(("value", []))
        if out.asks and any(kind == "value" for kind, _ in out.asks) and (st.doubts or st.unclear):
            out.findings, out.labels = [], []
        return out

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
        unnamed = not combo.own_test and (len(tests) == 1 or bare)
        if unnamed and any(self._guessed(st, combo, test, holds) for test in tests):
            return
        out.tests.extend(t for t in tests if t not in out.tests)
        if any(not term.id for term in combo.target.sites):
            out.asks.append(("site", []))
            return
        out.site = combo.site.id if combo.site else out.site
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
        for test, value in self._uncovered(hits):
            self._place(reading, st, combo, test, value, holds, given, out)
        out.asks.extend(problems)

    def _uncovered(self, hits: list[tuple[str, str]]) -> list[tuple[str, str]]:
        swallowed = {other for test, _ in hits for other in self.grammar.tests[test].covers}
        return [
            (test, value)
            for test, value in hits
            if test not in swallowed or not is_normal(self.grammar, test, value)
        ]

    def _guessed(self, st: Statement, combo: Combo, test: str, holds: Holds) -> bool:
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
        return self._all_takers(combo.target) != [test]

    def _place(
        self, reading: Reading, st: Statement, combo: Combo, test: str, value: str,
        holds: Holds, given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        sites = self.grammar.sites_of(test)
        normal = is_normal(self.grammar, test, value)
        spans: list[Span] = [*combo.target.spans, *(s for m in combo.more if m for s in m.spans)]
        extra = []
        site, kept = (combo.site.id, combo.site.kept or None) if combo.site else (None, None)
        hold = holds.item_site or holds.site
        spec = self.grammar.tests[test]
        under = hold is not None and spec.gives_way  # "left arm: motor intact"
        if not sites and normal and (under or (spec.side == "none" and _of_limb(st))):
            out.asks.append(("test", []))  # what is normal of one limb is not so of the whole
            return
        if site is None and sites:
            if given.get("site") in sites:
                site = given["site"]
            elif hold is not None and hold.id in sites and not self._beyond(reading, st, hold):
                site, extra = hold.id, [hold.place]
            elif (
                st.lost_place
                or self._elsewhere(st, test)
                or self._place_lent(test, holds)
                or _rest_of_what(st, holds)
            ):
                out.asks.append(("site", []))
                return
            else:
                site = self._whole(test, value, normal, st, sites)
                if site == "?":
                    out.asks.append(("site", []))
                    return
        site = self._narrowed(st, test, site)
        sides, side_places = self._sides(st, combo, test, site, value, holds, given)
        if sides is None:
            out.asks.append(("side", []))
            return
        extra = [*extra, *side_places]
        places = places_of(reading, st, spans, extra)
        details = detail_of(reading, st, self.grammar, test, value, combo.target)
        if sides == [None] and side_rule(self.grammar, test, site, value) == "none":
            details = (*details, *_side_words(st, combo))
        labels = frozenset(reading.text(span) for term, span in st.labels if term.test == test)
        halves = self._halves(test, site, kept, sides)
        for part, side in [(part, side) for part in halves for side in sides]:
            name = kept if part == site else None
            out.findings.append(
                Finding(test, part, side, value, details, normal, places, name)  # type: ignore[arg-type]
            )
            out.labels.append(labels)

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

    def _beyond(self, reading: Reading, st: Statement, hold: Hold) -> bool:
        """ "Otherwise normal" goes beyond a limb that was the heading of another utterance."""
        return st.rest and hold.place.utterance != reading.utterance.id

    def _narrowed(self, st: Statement, test: str, site: str | None) -> str | None:
        """ "distally in the arms": the part of the limb, where the test has it as a site."""
        if not st.part or site is None:
            return site
        for name, entry in self.grammar.sites_of(test).items():
            if site in entry.part_of and st.part in entry.narrowed_by:
                return name
        return site

    def _place_lent(self, test: str, holds: Holds) -> bool:
        """ "Tongue midline, no fasciculations": perhaps of the tongue, perhaps of the limbs."""
        return any(test in self.grammar.tests[near].lends_place for near in holds.near)

    def _whole(
        self, test: str, value: str, normal: bool | None, st: Statement, sites: Mapping[str, object]
    ) -> str | None:
        """The site of a statement about the whole test; "?" where it must be asked."""
        spec = self.grammar.tests[test]
        whole = "all" if "all" in sites else None
        if value in NOT_DONE or normal is True:
            return whole
        if spec.site_not_said:
            return spec.site_not_said
        if value == "absent" or value == spec.denied:
            return whole
        if (st.both_after or st.symmetric or st.side == "both" or st.both_compared) and whole:
            return whole
        return "?"

    def _sides(
        self, st: Statement, combo: Combo, test: str, site: str | None, value: str,
        holds: Holds, given: dict[str, str],
    ) -> tuple[list[str | None] | None, list[Place]]:  # fmt: skip
        rule = side_rule(self.grammar, test, site, value)
        normal = is_normal(self.grammar, test, value)
        if rule == "none":
            return [None], []
        said = (
            given.get("side")
            or combo.target.side
            or next((m.side for m in combo.more if m and m.side), None)
            or st.side
        )
        if said == "other":
            said = None
        if said is None and st.both_compared and (st.values or combo.signs):
            said = "both"
        whole = site is not None and self._unsided(test, site)
        if said == "both":
            return ([None] if whole else ["right", "left"]), []
        if said is not None:
            return [said], []
        needed = rule == "needed" or (rule == "abnormal" and not self._healthy(value, normal))
        if whole and rule != "abnormal":
            return [None], []
        plural = self._plural(combo, test)
        if plural and rule in {"needed", "abnormal"}:
            return ["right", "left"], []
        if needed and combo.target.carried in {"right", "left", "both"}:
            side = combo.target.carried
            return (["right", "left"] if side == "both" else [side]), []
        if needed and st.list_side:
            return (["right", "left"] if st.list_side == "both" else [st.list_side]), []
        if st.both_after and rule == "needed":
            return ["right", "left"], []
        area = holds.item_side.area if holds.item_side else ""
        other = bool(area) and area != self.grammar.area_of(test).area
        if holds.item_side is not None and needed and not other:
            both = holds.item_side.id == "both"
            return (["right", "left"] if both else [holds.item_side.id]), [holds.item_side.place]
        if holds.side is not None and not holds.item_side and not whole:
            both = holds.side.id == "both"
            return (["right", "left"] if both else [holds.side.id]), [holds.side.place]
        if st.symmetric and needed:
            return ["right", "left"], []
        if needed and combo.signs and st.denied:
            return [None], []
        if needed and combo.signs and value == self.grammar.tests[test].denied:
            return [None], []
        return (None if needed else [None]), []

    def _unsided(self, test: str, site: str) -> bool:
        entry = self.grammar.sites_of(test).get(site)
        return entry is not None and entry.unsided

    def _healthy(self, value: str, normal: bool | None) -> bool:
        return normal is not False and (normal or value == "absent" or value in NOT_DONE)

    def _plural(self, combo: Combo, test: str) -> bool:
        if combo.site is not None:
            # "biceps and triceps reflexes": said after the list, the plural is that of each
            listed = any(
                r.plural and r.kind == "after_site" and min(m.spans) > min(combo.target.spans)
                for m in combo.more
                for r in m.tests
            )
            return combo.site.plural or combo.target.both or listed
        tests = [*combo.target.tests, *(r for m in combo.more if m for r in m.tests)]
        return any(r.plural and r.test == test and r.kind == "test" for r in tests)


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
