"""Which tests and sites a statement speaks of: every target with its candidate tests."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading as Term
from dictate.interpret.statement import Statement, Target
from dictate.resolve.context import Holds
from dictate.resolve.fit import fit, settles_scale
from dictate.resolve.naming import Naming


@dataclass(slots=True)
class Combo:
    """One target of a statement: candidate tests, one site (or none), a side."""

    tests: list[str]
    site: Term | None
    target: Target
    signs: list[Term] = field(default_factory=list)
    own_test: bool = True
    more: list[Target] = field(default_factory=list)


@lru_cache(maxsize=4)
def _takers_of(grammar: Grammar) -> Mapping[tuple[str, str], Sequence[str]]:
    """Which tests take a site of a group; a test's own sites are the group "=test"."""
    takers: dict[tuple[str, str], list[str]] = {}
    for name, test in grammar.tests.items():
        for site in grammar.sites_of(name):
            groups = [g for g in grammar.groups if grammar.takes_site(name, g, site)]
            for group in [f"={name}"] if isinstance(test.sites, dict) else groups:
                takers.setdefault((group, site), []).append(name)
    return takers


class Targets(Naming):
    """Finds the targets of a statement by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Remember the grammar and which tests take which site."""
        super().__init__(grammar)
        self._takers = _takers_of(grammar)

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
                for limb in self._listed_sides(tests, target, lone, targets):
                    used.add(id(limb))
                    yield Combo(tests, None, limb, signs, more=[target])
        for target, tests in [(t, tests) for t in whole for tests in self._apart(t)]:
            signs = [sign for sign in target.signs if sign.test in tests]
            terms: list[Term | None] = [*self._site_terms(tests, target)]
            for place in terms or [None]:
                yield Combo(tests, place, target, signs)
            for limb in self._listed_sides(tests, target, lone, targets):
                used.add(id(limb))
                yield Combo(tests, None, limb, signs, more=[target])
            later = [s for s in lone if id(s) in used and s.placed]
            for site in later if target.placed else ():
                if targets.index(site) > targets.index(target):
                    for term in self._site_terms(tests, site):
                        yield Combo(tests, term, site, signs, more=[target])
        for target in lone:
            if id(target) in used or self._unnamed(target, holds, whole):
                continue
            near = next(
                (
                    w for w in whole
                    if self._takes(self._tests_of(w), target)
                    and (self._freely(self._tests_of(w), target) or not _graded(st))
                ),
                None,
            )  # fmt: skip
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

    def _listed_sides(
        self, tests: list[str], target: Target, lone: list[Target], targets: list[Target]
    ) -> list[Target]:
        """ "No LUE or RUE drift": limbs before the name of a test without sites say its sides."""
        if any(self.grammar.sites_of(test) for test in tests) or target.side is None:
            return []
        before = targets[: targets.index(target)]
        limbs = [t for t in before if t in lone and t.on_limb]
        return [t for t in limbs if t.side in {"right", "left"} and t.side != target.side]

    def _only_where(self, tests: list[str], lone: list[Target]) -> list[Target]:
        """Beside a test without sites, a placed site ("in the left hand") only says the side."""
        if any(self.grammar.sites_of(test) for test in tests):
            return []
        return [site for site in lone if site.placed]

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
        if term.group:
            return self.grammar.takes_site(test, term.group, term.id)
        return term.test == test and term.id in self.grammar.sites_of(test)

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
        near = {hold.id for hold in (holds.item_test, holds.test) if hold and hold.graded}
        # a movement is graded for its strength, whatever was graded before it
        going = _graded(st) and all(term.group != "muscle" for term in target.sites)
        # "bulk: deltoids normal": a heading reaches the parts that are told in words; and graded
        # ones, perhaps, where a grade of its own was just said ("tone: knee two, adductors two")
        headed = {holds.test.id} if holds.test is not None else set()
        perhaps = near & headed if _graded(st) and not going else set()
        perhaps = {name for name in perhaps if not self._freely([name], target)}
        near = (near if going else perhaps) | (set() if _graded(st) else headed)
        takers = [
            name
            for name in self._all_takers(target, st, held, near)
            if name in held or not self.grammar.tests[name].sites_need_name
        ]
        if "test" in given and given["test"] in takers:
            return [given["test"]]
        takers = [t for t in takers if t in held or not self._bare_only(t, st)] or takers
        if st.denied and not st.values:
            takers = [t for t in takers if self._denied(t) is not None]
        for said in st.values:
            settled = [name for name in takers if settles_scale(self.grammar, name, said)]
            fitting = [
                t for t in takers if (f := fit(self.grammar, t, said)) is not None and not f.misfit
            ]
            misfit = [t for t in takers if (f := fit(self.grammar, t, said)) is not None]
            takers = settled or fitting or misfit or takers
        if perhaps & {*takers} and len(takers) > 1:
            return takers
        for hold in (holds.item_test, holds.test):
            if hold is None:
                continue
            if hold.id in takers or self._ungraded(hold.id, target, st, takers):
                return [hold.id]
        return [t for t in takers if not self._bare_only(t, st)] or takers

    def _ungraded(self, held: str, target: Target, st: Statement, takers: Collection[str]) -> bool:
        """ "Light touch: C6 one": a number where the test that holds has none is no strength."""
        grades = [said.grade for said in st.values if said.grade is not None]
        bare = bool(grades) and not any(g.of or g.sign or g.unit or g.plusses for g in grades)
        area = self.grammar.area_of(held).area
        here = any(self.grammar.area_of(test).area == area for test in takers)
        if not bare or here or self.grammar.tests[held].scale is not None:
            return False
        sites = self.grammar.sites_of(held)
        own = [term.id for term in target.sites if self._fits(held, term)]
        return any(site in sites and not sites[site].named_only for site in own)

    def _freely(self, tests: list[str], target: Target) -> bool:
        """One of the tests takes the site wherever it is said."""
        terms = self._site_terms(tests, target)
        return any(not self._entry(t, term.id).named_only for t in tests for term in terms
                   if term.id in self.grammar.sites_of(t))  # fmt: skip

    def _rivals(self, target: Target, st: Statement) -> bool:
        """A part of the body that some test grades by itself, or a grade: a name that held before
        does not reach it ("tone spastic in the right leg, right hip flexion four")."""
        return _graded(st) or any(
            test_scale and self.grammar.scales[test_scale].unnamed
            for term in target.sites
            for name in self._takers.get((term.group, term.id), ())
            if not self.grammar.sites_of(name)[term.id].named_only
            and (test_scale := self.grammar.tests[name].scale)
        )

    def test_of_list(self, statements: Sequence[Statement]) -> tuple[str, Target] | None:
        """ "Biceps two plus, triceps two plus, knee two plus": the one test that takes them all.

        Args:
            statements: Those of one sentence.

        Returns:
            The test, and the target that only it takes; None where all may be of another as well.
        """
        listed = [st for st in statements if st.targets and st.has_value]
        plain = len(listed) > 1 and all(map(_graded_site, listed))
        if not plain or any(st.link not in {"start", "comma", "and"} for st in listed):
            return None
        empty = Holds()
        takers = [self._held_test(st.targets[0], st, empty, {}) for st in listed]
        sure = next((k for k, tests in enumerate(takers) if len(tests) == 1), None)
        if sure is None or all(len(tests) == 1 for tests in takers):
            return None
        test = takers[sure][0]
        return (test, listed[sure].targets[0]) if all(test in t for t in takers) else None

    @staticmethod
    def is_graded_list(statements: Sequence[Statement]) -> bool:
        """Nothing but sites without the name of a test, each with its grade."""
        own = [st for st in statements if not st.copied]
        return bool(own) and all(st.targets and _graded_site(st) for st in own)

    def _all_takers(
        self,
        target: Target,
        st: Statement,
        held: Collection[str] = (),
        near: Collection[str] = (),
    ) -> list[str]:
        """Every test that takes this site; one that takes it only where it was named, if it was.

        ``near``: tests of which a grade was just said, so that this one is of them too.
        """
        own = {r.test for said in st.values for r in said.readings} | {*near}
        own |= {test for test in held if not self._rivals(target, st)}
        return list(
            dict.fromkeys(
                name
                for term in target.sites
                for site in (term.sites or (term.id,))
                for name in self._takers.get((term.group or f"={term.test}", site), ())
                if name in own or not self.grammar.sites_of(name)[site].named_only
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


def _graded(st: Statement) -> bool:
    return any(said.grade is not None for said in st.values)


def _graded_site(st: Statement) -> bool:
    """A site without the name of a test, and its grade."""
    sites = all(t.sites and not (t.tests or t.signs) for t in st.targets)
    graded = bool(st.values) and all(said.grade is not None for said in st.values)
    return sites and graded and not (st.doubts or st.unknown)
