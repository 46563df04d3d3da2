"""What the words of a statement name: a test, a way to try one, a value, or a site."""

from __future__ import annotations

from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Site
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.statement import Said, Statement, Target
from dictate.resolve.context import Holds
from dictate.resolve.fit import fit


class Naming:
    """Settles what each target of a statement names, by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Remember the grammar and its general tests."""
        self.grammar = grammar
        self._general = {name for name, test in grammar.tests.items() if test.gives_way}

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
        named = {n for t in targets for n in (*self._tests_of(t), *_owners(t))}
        ways = {way for name in named for way in specs[name].modalities}
        kept: list[Target] = []
        for target in targets:
            own = self._tests_of(target)
            modal = bool(own) and set(own) <= ways and not target.signs
            if modal and target.sites and not self._takes(own, target):
                kept.append(replace(target, tests=[]))  # "V2 reduced to pinprick"
            elif modal and not target.sites:
                st.side = st.side or target.side
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
        lone = [t for t in targets if _owners(t) and not (t.tests or t.signs)]
        for target in pure:
            names = self._tests_of(target)
            if lone and set(names) <= general and not any(self._takes(names, t) for t in lone):
                continue  # "reduced sensation in V1": the site's own test is meant
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
        own_place = {r.test for r in target.signs} & {r.test for r in target.sites if r.test}
        if own_place:  # "the eye does not close": what was found and where, in one word
            sites = [r for r in target.sites if r.test in own_place]
            return replace(target, sites=sites, dual=False)
        others = [t for t in st.targets if t is not target and (t.tests or t.signs) and not t.dual]
        held = holds.item_test or holds.test
        beside = any(self._takes(self._tests_of(t), target) for t in others)
        own = self._tests_of(target)
        fits = st.not_done or any(fit(self.grammar, name, s) for name in own for s in st.values)
        under = held is not None and self._takes([held.id], target)
        if held is not None and under and fits:
            under = any(fit(self.grammar, held.id, said) for said in st.values)
        graded = any(said.grade is not None for said in st.values)
        if graded and target.signs and not beside and self._graded_before(target, others, st):
            return replace(target, sites=[], dual=False)
        if graded and target.signs and not fits:
            return replace(target, tests=[], signs=[], values=[], dual=False)
        as_test = (fits or st.denied or target.signs) and not beside and not under
        if not as_test and (beside or under or not own):
            return replace(target, tests=[], signs=[], dual=False)
        return replace(target, sites=[], dual=False)

    def _graded_before(self, target: Target, others: list[Target], st: Statement) -> bool:
        """ "Reflexes two plus plantar flexor": the grade is of the name that was said before it."""
        first = min(target.spans)
        grades = [said for said in st.values if said.grade is not None]
        if any(min(said.spans) > first for said in grades):
            return False
        return any(
            min(other.spans) < min(said.spans) and fit(self.grammar, name, said)
            for other in others
            for name in self._tests_of(other)
            for said in grades
            if other.spans and said.spans
        )

    def _tests_of(self, target: Target) -> list[str]:
        return list(dict.fromkeys(r.test for r in [*target.tests, *target.signs]))

    def _takes(self, tests: list[str], target: Target) -> bool:
        return bool(self._site_terms(tests, target))

    def _entry(self, test: str, site: str) -> Site:
        return self.grammar.sites_of(test).get(site, Site())

    def _site_terms(self, tests: list[str], target: Target) -> list[Term]:
        """The site readings that one of the tests takes; a range gives each of its sites."""
        found: dict[str, Term] = {}
        for term in target.sites:
            for test in tests:
                for site in term.sites or (term.id,):
                    own = term.test == test and site in self.grammar.sites_of(test)
                    if own or (term.group and self.grammar.takes_site(test, term.group, site)):
                        found.setdefault(
                            site,
                            Term("site", site, term.test, term.group, term.plural, kept=term.kept),
                        )
        unnamed = [
            site for site in found
            if not any(self._entry(test, site).named_only for test in tests)
        ]  # fmt: skip
        return [found[site] for site in unnamed or found]


def _owners(target: Target) -> set[str]:
    """The tests that alone have this site ("V2")."""
    tests = {reading.test for reading in target.sites}
    return set() if "" in tests else tests
