"""Which tests and sites a statement speaks of: every target with its candidate tests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.statement import Said, Statement, Target
from dictate.resolve.context import Holds
from dictate.resolve.fit import fit, settles_scale


@dataclass(slots=True)
class Combo:
    """One target of a statement: candidate tests, one site (or none), a side."""

    tests: list[str]
    site: Term | None
    target: Target
    signs: list[Term] = field(default_factory=list)
    own_test: bool = True
    more: list[Target] = field(default_factory=list)


class Targets:
    """Finds the targets of a statement by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Remember the grammar and which tests take which site."""
        self.grammar = grammar
        self._takers: dict[tuple[str, str], list[str]] = {}
        self._general = {name for name, test in grammar.tests.items() if test.gives_way}
        for name, test in grammar.tests.items():
            for site in grammar.sites_of(name):
                group = test.sites if isinstance(test.sites, str) else ""
                self._takers.setdefault((group or f"={name}", site), []).append(name)

    def _combos(self, st: Statement, holds: Holds, given: dict[str, str]) -> Iterator[Combo]:
        targets = [self._undual(t, st, holds) for t in self._unvalued(st)]
        targets = self._said_once(self._specific(st, targets))
        targets = self._tried_by(st, targets)
        pure = [t for t in targets if (t.tests or t.signs) and not t.sites]
        pure = self._without_general(pure, targets, st)
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
            shared = [w for w in after if w.placed and not w.edge] if sites else after
            for site in [*shared, *sites]:
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
            later = [s for s in lone if id(s) in used and s.placed]
            for site in later if target.placed else ():
                if targets.index(site) > targets.index(target):
                    for term in self._site_terms(tests, site):
                        yield Combo(tests, term, site, signs, more=[target])
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

    def _specific(self, st: Statement, targets: list[Target]) -> list[Target]:
        """ "Motor 5/5 throughout": a general name whose value is of another test only opens."""
        specs = self.grammar.tests
        kept: list[Target] = []
        for target in targets:
            names = self._tests_of(target)
            general = bool(names) and all(specs[name].gives_way for name in names)
            taken = any(fit(self.grammar, name, said) for name in names for said in st.values)
            if not general or taken or not st.values or target.signs:
                kept.append(target)
            elif target.sites and not self._takes(names, target):
                kept.append(replace(target, tests=[], dual=False))
            elif target.sites:
                kept.append(target)
        return kept

    def _tried_by(self, st: Statement, targets: list[Target]) -> list[Target]:
        """ "Facial sensation to pinprick": how it was tried is a detail of it."""
        specs = self.grammar.tests
        ways = {w for t in targets for n in self._tests_of(t) for w in specs[n].modalities}
        kept: list[Target] = []
        for target in targets:
            own = self._tests_of(target)
            if own and set(own) <= ways and not (target.signs or target.sites):
                st.details.extend(span for span in target.spans if span not in st.details)
            else:
                kept.append(target)
        return kept

    def _said_once(self, targets: list[Target]) -> list[Target]:
        """ "Posturing to painful stimuli": the bare name of a test whose sign was said as well."""
        signed = {sign.test for target in targets for sign in target.signs}
        return [
            target
            for target in targets
            if target.signs
            or target.sites
            or not target.tests
            or any(reading.id or reading.test not in signed for reading in target.tests)
        ]

    def _without_general(
        self, pure: list[Target], targets: list[Target], st: Statement
    ) -> list[Target]:
        """The general test gives way to the named one ("sensation intact to light touch").

        A word that says what is wrong with it ("no sensory loss to pinprick") says it of that one.
        """
        general = self._general
        areas = {
            self.grammar.area_of(name).area
            for target in targets
            for name in self._tests_of(target)
            if name not in general
        }
        kept: list[Target] = []
        for target in pure:
            names = self._tests_of(target)
            if not all(n in general and self.grammar.area_of(n).area in areas for n in names):
                kept.append(target)
            elif target.signs and not st.values:
                trouble = Said(readings=(Term("trouble"),), negated=st.denied, spans=target.spans)
                st.values.append(trouble)
                st.denied = False
        return kept

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
        held = {hold.id for hold in (holds.item_test, holds.test) if hold is not None}
        takers = [
            name
            for name in self._all_takers(target)
            if name in held or not self.grammar.tests[name].sites_need_name
        ]
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

    def _denied(self, test: str) -> str | None:
        """ "no drift", "no ankle jerks": the denial of a sign, or that the thing is absent."""
        spec = self.grammar.tests[test]
        if spec.named is not None:
            return spec.denied
        return "absent" if "absent" in spec.values else None
