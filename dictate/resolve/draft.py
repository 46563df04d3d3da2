"""One statement to findings, or to the first thing that must be asked about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Span, Statement, Target
from dictate.model import Finding, Place, QuestionKind
from dictate.resolve.context import Holds
from dictate.resolve.fit import NOT_DONE, Fit, fit, is_normal, settles_scale, side_rule
from dictate.resolve.places import detail_of, places_of

#: What is asked first where one statement lacks several things.
FIRST: tuple[QuestionKind, ...] = (
    "heard", "scale", "conflict", "value", "site", "test", "side", "referent",
)  # fmt: skip


@dataclass(slots=True)
class Combo:
    """One target of a statement: candidate tests, one site (or none), a side."""

    tests: list[str]
    site: Term | None
    target: Target
    signs: list[Term] = field(default_factory=list)
    own_test: bool = True
    more: list[Target] = field(default_factory=list)


@dataclass(slots=True)
class Draft:
    """Findings of a statement, and what must be asked: (kind, test, site, value or choices)."""

    findings: list[Finding] = field(default_factory=list)
    labels: list[frozenset[str]] = field(default_factory=list)
    asks: list[tuple[QuestionKind, list[str]]] = field(default_factory=list)
    tests: list[str] = field(default_factory=list)
    site: str | None = None

    @property
    def ask(self) -> tuple[QuestionKind, list[str]] | None:
        """The one question of the statement: the first that its answer depends on."""
        return min(self.asks, key=lambda ask: FIRST.index(ask[0]), default=None)


class Drafter:
    """Works out statements; a pure function of statement, holds and overrides."""

    def __init__(self, grammar: Grammar) -> None:
        """Remember the grammar and which tests take which site."""
        self.grammar = grammar
        self._takers: dict[tuple[str, str], list[str]] = {}
        for name, test in grammar.tests.items():
            for site in grammar.sites_of(name):
                group = test.sites if isinstance(test.sites, str) else ""
                self._takers.setdefault((group or f"={name}", site), []).append(name)

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
        if (st.doubts or st.unclear) and "value" not in given and (st.has_value or st.targets):
            out.asks.append(("value", []))
        combos = list(self._combos(st, holds, given))
        if not combos and st.parts:
            names = [term.test for term, _ in st.parts]
            combos = [Combo(names[:1], None, Target(spans=list(st.spans)))]
        if not combos and (test := self._by_line(st)):
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
        others = {str(scale.of) for scale in self.grammar.scales.values() if scale.of}
        for said in st.values:
            if st.unknown or (said.grade is not None and said.grade.of in others):
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
        if tests or (signed and st.values):
            misfit = tests and any(
                (f := fit(self.grammar, tests[0], s)) is not None and f.misfit == "scale"
                for s in st.values
            )
            out.tests = tests
            out.asks.append(("scale" if misfit else "site", []))

    # ---- which test, which site

    def _combos(self, st: Statement, holds: Holds, given: dict[str, str]) -> Iterator[Combo]:
        targets = [self._undual(t, st, holds) for t in self._unvalued(st)]
        pure = [t for t in targets if (t.tests or t.signs) and not t.sites]
        pure = self._without_general(pure, targets)
        whole = [t for t in targets if (t.tests or t.signs) and t.sites]
        lone = [t for t in targets if t.sites and not (t.tests or t.signs)]
        used: set[int] = set()
        for target, tests in [(t, tests) for t in pure for tests in self._apart(t)]:
            signs = [sign for sign in target.signs if sign.test in tests]
            sites = [s for s in lone if self._takes(tests, s)]
            after = [
                w
                for w in whole
                if targets.index(w) > targets.index(target) and self._takes(tests, w)
            ]
            for site in sites or after:
                used.add(id(site))
                for term in self._site_terms(tests, site):
                    yield Combo(tests, term, site, signs, more=[target])
            if not (sites or after):
                where = self._only_where(tests, lone)
                used.update(id(site) for site in where)
                side = target.side or next((site.side for site in where if site.side), None)
                both = target.both or any(r.plural for site in where for r in site.sites[:1])
                yield Combo(
                    tests, None, replace(target, side=side or ("both" if both else None)), signs
                )
        for target, tests in [(t, tests) for t in whole for tests in self._apart(t)]:
            signs = [sign for sign in target.signs if sign.test in tests]
            terms: list[Term | None] = [*self._site_terms(tests, target)]
            for place in terms or [None]:
                yield Combo(tests, place, target, signs)
        for target in lone:
            if id(target) in used or self._unnamed(target, holds, whole):
                continue
            near = next((w for w in whole if self._takes(self._tests_of(w), target)), None)
            tests = (
                [t for t in self._tests_of(near) if self._takes([t], target)]
                if near
                else self._held_test(target, st, holds, given)
            )
            own = near is not None
            found = self._site_terms(tests, target) or self._any_terms(target)
            whole_range = any(reading.sites for reading in target.sites)
            if near is None and not whole_range and len({site.id for site in found}) > 1:
                # one word, other sites in other tests ("arm"): which test comes first
                yield Combo(tests, found[0], target, [], False)
                continue
            for named in found:
                same = [replace(r, id=named.id) for r in target.sites if self._means(r, named.id)]
                fitting = [t for t in tests if any(self._fits(t, r) for r in same)] or tests
                signs = [s for s in near.signs if s.test in fitting] if near else []
                more = [near] if near else []
                alone = all(named.test == test for test in fitting)
                yield Combo(fitting, named, target, signs, own or alone, more)

    def _only_where(self, tests: list[str], lone: list[Target]) -> list[Target]:
        """Beside a test without sites, a placed site ("in the left hand") only says the side."""
        if any(self.grammar.sites_of(test) for test in tests):
            return []
        return [site for site in lone if site.placed]

    def _without_general(self, pure: list[Target], targets: list[Target]) -> list[Target]:
        """The general test gives way to the named one ("sensation intact to light touch")."""
        specs = self.grammar.tests
        general = {n for n in specs if specs[n].gives_way}
        areas = {
            self.grammar.area_of(name).area
            for target in targets
            for name in self._tests_of(target)
            if name not in general
        }
        return [
            target
            for target in pure
            if not all(
                name in general and self.grammar.area_of(name).area in areas
                for name in self._tests_of(target)
            )
        ]

    def _unvalued(self, st: Statement) -> list[Target]:
        """A word that names a test and is a value of another one beside it is that value."""
        kept: list[Target] = []
        names = [self._tests_of(target) for target in st.targets]
        for i, target in enumerate(st.targets):
            said = Said(readings=tuple(target.values), spans=list(target.spans))
            of_site = target.values and target.signs and target.sites and not target.tests
            if of_site and not self._takes(self._tests_of(target), target):
                # "lower facial weakness": the word is a value of the site's own test
                if said not in st.values:
                    st.values.append(said)
                kept.append(replace(target, signs=[], values=[]))
                continue
            others = (n for j, own in enumerate(names) if j != i for n in own)
            bare = target.values and not target.sites
            if bare and any(fit(self.grammar, n, said) for n in others):
                if not any(v.readings == said.readings for v in st.values):
                    st.values.append(said)
            else:
                kept.append(target)
        return kept

    def _apart(self, target: Target) -> list[list[str]]:
        """A form that names several tests with a value each ("alert and oriented") is several."""
        tests = self._tests_of(target)
        signed = {sign.test for sign in target.signs}
        return [[test] for test in tests] if len(signed) > 1 else [tests]

    def _undual(self, target: Target, st: Statement, holds: Holds) -> Target:
        """A word that is a test and a site ("toes") is what the words beside it make of it."""
        if not target.dual:
            return target
        others = [t for t in st.targets if t is not target and (t.tests or t.signs) and not t.dual]
        held = holds.item_test or holds.test
        beside = any(self._takes(self._tests_of(t), target) for t in others)
        own = self._tests_of(target)
        fits = st.not_done or any(fit(self.grammar, name, s) for name in own for s in st.values)
        under = held is not None and self._takes([held.id], target)
        if held is not None and under and fits:
            under = any(fit(self.grammar, held.id, said) for said in st.values)
        as_test = (fits or st.denied or target.signs) and not beside and not under
        if not as_test and (beside or under or not own):
            return replace(target, tests=[], signs=[], dual=False)
        return replace(target, sites=[], dual=False)

    def _tests_of(self, target: Target) -> list[str]:
        return list(dict.fromkeys(r.test for r in [*target.tests, *target.signs]))

    def _takes(self, tests: list[str], target: Target) -> bool:
        return bool(self._site_terms(tests, target))

    def _site_terms(self, tests: list[str], target: Target) -> list[Term]:
        """The site readings that one of the tests takes; a range gives each of its sites."""
        found: dict[str, Term] = {}
        for term in target.sites:
            for test in tests:
                for site in term.sites or (term.id,):
                    own = self.grammar.tests[test].sites
                    fits = term.group == own if term.group else term.test == test
                    if fits and site in self.grammar.sites_of(test):
                        found.setdefault(
                            site,
                            Term("site", site, term.test, term.group, term.plural, kept=term.kept),
                        )
        return list(found.values())

    def _unnamed(self, target: Target, holds: Holds, whole: list[Target]) -> bool:
        """Ordinary words ("time", "place") are sites only where their test was named."""
        tests = [term.test for term in target.sites]
        if not tests or not all(t and self.grammar.tests[t].sites_need_name for t in tests):
            return False
        held = {hold.id for hold in (holds.item_test, holds.test) if hold is not None}
        named = {test for target in whole for test in self._tests_of(target)}
        return not set(tests) & (held | named)

    def _fits(self, test: str, term: Term) -> bool:
        """The test takes this site under this reading."""
        sites = self.grammar.tests[test].sites
        taken = term.group == sites if term.group else term.test == test
        return taken and term.id in self.grammar.sites_of(test)

    def _means(self, reading: Term, site: str) -> bool:
        """The reading is this site, or a range that holds it."""
        return site in (reading.sites or (reading.id,))

    def _any_terms(self, target: Target) -> list[Term]:
        return target.sites[:1]

    def _held_test(
        self, target: Target, st: Statement, holds: Holds, given: dict[str, str]
    ) -> list[str]:
        """Tests that take this site and this value; the one that holds wins if it is among them."""
        takers = self._all_takers(target)
        if "test" in given and given["test"] in takers:
            return [given["test"]]
        if st.denied and not st.values:
            takers = [t for t in takers if self._denied(t) is not None]
        for said in st.values:
            settled = [name for name in takers if settles_scale(self.grammar, name, said)]
            fitting = [
                t for t in takers if (f := fit(self.grammar, t, said)) is not None and not f.misfit
            ]
            misfit = [t for t in takers if (f := fit(self.grammar, t, said)) is not None]
            takers = settled or fitting or misfit or takers
        for hold in (holds.item_test, holds.test):
            if hold is not None and hold.id in takers:
                return [hold.id]
        return [t for t in takers if not self._bare_only(t, st)] or takers

    def _all_takers(self, target: Target) -> list[str]:
        """Every test that takes this site."""
        return list(
            dict.fromkeys(
                name
                for term in target.sites
                for site in (term.sites or (term.id,))
                for name in self._takers.get((term.group or f"={term.test}", site), ())
            )
        )

    def _bare_only(self, test: str, st: Statement) -> bool:
        """A scale that is not the usual one of any site counts only where its test was named."""
        scale = self.grammar.tests[test].scale
        graded = any(said.grade is not None for said in st.values)
        return graded and scale is not None and not self.grammar.scales[scale].unnamed

    # ---- value, site, side

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
        if not hits and st.unknown and not st.has_value and not st.hesitant:
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
        return self._all_takers(combo.target) != [test]

    def _values(
        self, st: Statement, combo: Combo, tests: list[str], given: dict[str, str]
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        if "value" in given:
            return [(test, given["value"]) for test in tests[:1]], []
        if st.not_done:
            meant = tests[:1] if combo.own_test else tests
            return [(test, st.not_done) for test in meant], []
        if st.parts and any(term.test in tests for term, _ in st.parts):
            return self._total(st, st.parts[0][0].test)
        hits: list[tuple[str, str]] = []
        problems: list[tuple[QuestionKind, list[str]]] = []
        for said in st.values:
            fits = [(test, f) for test in tests if (f := fit(self.grammar, test, said)) is not None]
            good = [(test, f.value) for test, f in fits if f.value and not f.misfit]
            good = self._by_sign(combo, said, good)
            if st.denied and good and self._denied_twice(combo, said):
                problems.append(("value", []))
                continue
            if st.denied and good:
                good = [(test, self._turned(test, value)) for test, value in good]  # type: ignore[misc]
                good = [(test, value) for test, value in good if value]
            if not good and fits and fits[0][1].pair and len(set(fits[0][1].pair)) == 1:
                good = [(fits[0][0], fits[0][1].pair[0])]
                given.setdefault("side", "both")
            if good:
                hits.extend(pair for pair in good if pair not in hits)
            elif fits:
                problems.append(_misfit(fits[0][1]))
            elif said.grade is not None:
                problems.append(
                    ("scale" if any(self.grammar.tests[t].scale for t in tests) else "value", [])
                )
        if not hits and not problems and all(_qualifies(v) for v in st.values):
            hits = self._unsaid(st, combo, tests)
        if any(self.grammar.tests[t].counts for t in tests) and any(v.grade for v in st.values):
            return [], [("site", [])]
        if problems and any(v not in self.grammar.tests[t].values for t, v in hits):
            return [], [("value", [])]  # one number fits and another does not: which is meant?
        if self._against_sign(combo, st, hits):
            return [], [("value", [])]
        graded = {(t, v) for t, v in hits if v not in self.grammar.tests[t].values}
        if any(len([v for t, v in graded if t == test]) > 1 for test, _ in graded):
            return [], [("value", [])]
        return self._graded_first(hits, st), [] if hits and not problems else problems

    def _denied_twice(self, combo: Combo, said: Said) -> bool:
        """ "no light touch reduced": a denial and a value of one test; a reply, or what?"""
        confirms = any(reading.id == "present" for reading in said.readings)
        if any(reading.id == "absent" and not reading.test for reading in said.readings):
            return True
        signs = any(self.grammar.tests[test].named for test in combo.tests) or combo.signs
        common = all(not reading.test for reading in said.readings)
        return common and not confirms and not signs

    def _total(
        self, st: Statement, test: str
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        """A total made of parts: parts alone give their sum; parts that do not add up are asked."""
        scale = self.grammar.scales[self.grammar.tests[test].scale or ""]
        sizes = {term.id: int(grade.number) for term, grade in st.parts if grade.number.isdigit()}
        wrong = any(not scale.parts[p].low <= n <= scale.parts[p].high for p, n in sizes.items())
        if wrong:
            return [], [("scale", [])]
        said = [f.value for v in st.values if (f := fit(self.grammar, test, v)) and f.value]
        whole = str(sum(sizes.values())) if len(sizes) == len(scale.parts) else None
        if said and whole and said[0] != whole:
            return [], [("conflict", [said[0], whole])]
        value = said[0] if said else whole
        return ([(test, value)], []) if value else ([], [("value", [])])

    def _graded_first(self, hits: list[tuple[str, str]], st: Statement) -> list[tuple[str, str]]:
        """Beside a grade, "normal" or "symmetric" of the same test is a qualifier of it."""
        graded = {
            test
            for test, value in hits
            if self.grammar.tests[test].scale and value not in self.grammar.tests[test].values
        }
        return [
            (test, value)
            for test, value in hits
            if test not in graded
            or value not in self.grammar.tests[test].values
            or not self.grammar.tests[test].values[value].normal
        ]

    def _against_sign(self, combo: Combo, st: Statement, hits: list[tuple[str, str]]) -> bool:
        """ "does not rise, symmetric": an abnormal sign and a common word for normal."""
        common = any(not r.test for v in st.values for r in v.readings if r.kind == "value")
        abnormal = {s.test for s in combo.signs if is_normal(self.grammar, s.test, s.id) is False}
        told = any({r.id for r in v.readings} & {"present", "absent"} for v in st.values)
        normal = any(t in abnormal and is_normal(self.grammar, t, v) for t, v in hits)
        return bool(common and normal and not told and not st.denied)

    def _by_sign(
        self, combo: Combo, said: Said, good: list[tuple[str, str]]
    ) -> list[tuple[str, str]]:
        """ "Babinski positive": present or absent said of a sign is said of its own value."""
        sets = {r.id for r in said.readings if r.kind == "value" and not r.test}
        signs = [s for s in combo.signs if s.id in self.grammar.tests[s.test].values]
        for sign in signs:
            if "present" in sets:
                return [(sign.test, sign.id)]
            if "absent" in sets:
                turned = self._turned(sign.test, sign.id)
                return [(sign.test, turned)] if turned else []
        return good

    def _turned(self, test: str, value: str) -> str | None:
        """The value that denying ``value`` gives."""
        denied = self.grammar.tests[test].denied
        spec = self.grammar.tests[test].values.get(value)
        if spec is not None and spec.normal is not True and denied:
            return denied
        others = [v for v in self.grammar.tests[test].values if v != value]
        if spec is not None and len(others) == 1 and self.grammar.tests[test].scale is None:
            return others[0]
        return None

    def _unsaid(self, st: Statement, combo: Combo, tests: list[str]) -> list[tuple[str, str]]:
        hits: list[tuple[str, str]] = []
        for sign in combo.signs:
            value = self._turned(sign.test, sign.id) if st.denied else sign.id
            if value is not None:
                hits.append((sign.test, value))
        if hits or st.compared:
            return hits
        for test in tests if combo.own_test or st.denied else ():
            value = self._denied(test) if st.denied else self.grammar.tests[test].named
            if value is not None:
                hits.append((test, value))
        return hits[:1]

    def _denied(self, test: str) -> str | None:
        """ "no drift", "no ankle jerks": the denial of a sign, or that the thing is absent."""
        spec = self.grammar.tests[test]
        if spec.named is not None:
            return spec.denied
        return "absent" if "absent" in spec.values else None

    def _place(
        self, reading: Reading, st: Statement, combo: Combo, test: str, value: str,
        holds: Holds, given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        sites = self.grammar.sites_of(test)
        normal = is_normal(self.grammar, test, value)
        spans: list[Span] = [*combo.target.spans, *(s for m in combo.more if m for s in m.spans)]
        extra = []
        site, kept = (combo.site.id, combo.site.kept or None) if combo.site else (None, None)
        if site is None and sites:
            hold = holds.item_site or holds.site
            if given.get("site") in sites:
                site = given["site"]
            elif hold is not None and hold.id in sites and not st.rest:
                site, extra = hold.id, [hold.place]
            elif st.lost_place:
                out.asks.append(("site", []))
                return
            else:
                site = self._whole(test, value, normal, st, sites)
                if site == "?":
                    out.asks.append(("site", []))
                    return
        sides, side_places = self._sides(st, combo, test, site, value, holds, given)
        if sides is None:
            out.asks.append(("side", []))
            return
        extra = [*extra, *side_places]
        places = places_of(reading, st, spans, extra)
        details = detail_of(reading, st, self.grammar, test, value)
        if "side_detail" in given:
            details = (*details, given["side_detail"])
        labels = frozenset(reading.text(span) for _, span in st.labels)
        for side in sides:
            out.findings.append(
                Finding(test, site, side, value, details, normal, places, kept)  # type: ignore[arg-type]
            )
            out.labels.append(labels)

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
        if (st.both_after or st.symmetric or st.side == "both") and whole:
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
        whole = site == "all" or (site is not None and self._unsided(test, site))
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
        if holds.item_side is not None and needed:
            both = holds.item_side.id == "both"
            return (["right", "left"] if both else [holds.item_side.id]), [holds.item_side.place]
        if holds.side is not None and not holds.item_side and not whole:
            both = holds.side.id == "both"
            return (["right", "left"] if both else [holds.side.id]), [holds.side.place]
        if st.symmetric and needed:
            return ["right", "left"], []
        if needed and plural:
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
            listed = len(combo.more) and any(
                r.plural and r.kind == "after_site" for m in combo.more if m for r in m.tests
            )
            return combo.site.plural or (combo.target.both and not listed)
        tests = [*combo.target.tests, *(r for m in combo.more if m for r in m.tests)]
        return any(r.plural and r.test == test and r.kind == "test" for r in tests)


def _qualifies(said: Said) -> bool:
    """A word of some other test ("downward drift") qualifies; a common value word does not."""
    return said.grade is None and all(reading.test for reading in said.readings)


def _misfit(found: Fit) -> tuple[QuestionKind, list[str]]:
    if found.misfit == "pair" and found.pair:
        return "side", list(found.pair)
    return ("scale" if found.misfit == "scale" else "value"), []
