"""What was found of a target: values, denials, parts not done, as its tests take them."""

from __future__ import annotations

import itertools

from dictate.interpret.statement import Said
from dictate.model import QuestionKind
from dictate.parse.categories import Claim, Val
from dictate.parse.denying import Denying
from dictate.parse.items import Lattice
from dictate.parse.targets import Target
from dictate.resolve.fit import (
    NOT_DONE,
    alike,
    beside_word,
    fit,
    is_normal,
    settle_counts,
    takes,
)
from dictate.resolve.totals import total_of


class Found(Denying):
    """What was found of a target, as values of its tests."""

    def _values(
        self,
        lattice: Lattice,
        claim: Claim,
        target: Target,
        cand: list[str],
        own: bool,
        given: dict[str, str],
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        grammar = self.grammar
        signs = {r.test: r.id for r in target.name.sign}
        if "value" in given:
            value = given["value"]
            takers = [t for t in cand if takes(grammar, t, value)] or cand
            return [(t, value) for t in takers[:1]], []
        if claim.parts and any(p.of_kind("part")[0].test in cand for p, _ in claim.parts):
            return self._total(claim)
        graded_too = any(v.item is not None and v.item.grade is not None for v in claim.values)
        free = [t for t in cand if grammar.tests[t].scale is None]  # "pupils equal, 3 mm"
        vals = [
            v
            for v in claim.values
            if not (
                v.alike
                and len(claim.values) > 1
                and not v.mask & self.types.of(free if graded_too else cand)
            )
        ] or list(claim.values)
        hits: list[tuple[str, str]] = []
        problems: list[tuple[QuestionKind, list[str]]] = []
        joint = self._joint(lattice, target)
        everything, beside = cand, self._beside(vals, cand)
        summary = cand and all(
            grammar.tests[t].gives_way or grammar.tests[t].numbered for t in cand
        )
        if (
            summary
            and vals
            and all(
                v.item is not None
                and alike(
                    grammar, Said(grade=v.item.grade, readings=v.item.readings, negated=v.negated)
                )
                for v in vals
            )
        ):
            return [], [("value", [])]
        if claim.uneven and any(v.item is not None and v.item.grade is not None for v in vals):
            sized = any(
                (name := grammar.tests[t].scale) and grammar.scales[name].kind == "measure"
                for t in cand
            )
            if sized:
                return [], [("value", [])]
        if not vals:
            if claim.compare:
                return [], [("value", [])]
            hits = [(t, v) for t, v in signs.items() if t in cand]
            if (
                not hits
                and target.name.sites
                and not any(r.kind == "test" for r in target.name.kinds)
                and len(cand) == 1
                and grammar.tests[cand[0]].named
            ):
                hits = [(cand[0], grammar.tests[cand[0]].named or "")]
            return hits if joint else hits[:1], []
        for val in vals:
            cand = [t for t in everything if self.types.bit[t] & beside.get(id(val), -1)]
            if val.notdone:
                meant = cand if joint or own is False else cand[:1]
                hits += [(t, self._undone(t, val, claim)) for t in meant]
                continue
            if val.deny:
                verbs = [it for it in lattice.items if it.start == val.span[0]]
                felt = any(it.verb == "perceive" for it in verbs)
                sought = not own and any(it.verb == "seek" or it.of_kind("sought") for it in verbs)
                plain = not target.name.sign and (target.name.placed or claim.link == "but")
                plain = plain and not felt and not sought
                said_so = [(t, v) for t in cand if (v := self._own_word(t, val)) is not None]
                found = said_so or [
                    (t, v)
                    for t in cand
                    if (own or sought)
                    and not plain
                    and (v := self._denied(t, signs.get(t), bool(target.name.sites)))
                    # "knees two plus, couldn't get the ankles"
                    and (own or (v == "absent" and grammar.tests[t].scale))
                ]
                if felt and own and not found:
                    found = [(t, "absent") for t in cand if self._can_be_unfelt(t)]
                if val.looked_for and claim.why_not and claim.reasons:
                    found = [(t, "unable" if v == "absent" else v) for t, v in found]
                if found:
                    hits += found if joint else found[:1]
                else:
                    problems.append(("value", []))
                continue
            assert val.item is not None
            said = Said(grade=val.item.grade, readings=val.item.readings, negated=val.negated)
            if val.item.grade is None:
                cand = [
                    t
                    for t in cand
                    if val.item.text not in grammar.tests[t].never and self._careful(target, t, val)
                ]
            fits = [
                (t, f) for t in cand
                if (f := fit(grammar, t, said)) is not None and (own or self._unnamed(t, val))
            ]  # fmt: skip
            good = [(t, f.value) for t, f in fits if f.value and not f.misfit]
            if val.item.grade is not None and val.item.grade.plusses:
                good += [(t, "present") for t in cand if self.types.is_sign(t)]
            if val.negated and not any(r.kind == "trouble" for r in val.item.readings):
                good = [(t, v) for t, v in good if not self._movement(t, v)]
            sure = [(t, v) for t, v in good if v is not None]
            good = [
                (t, self._kept_from(t, v, val, claim)) for t, v in self._of_sign(signs, val, sure)
            ]
            pairs = [(t, f.pair[0]) for t, f in fits if f.pair and len(set(f.pair)) == 1]
            if not good and pairs:
                good = pairs[:1]
                given.setdefault("side", "both")
            if good:
                hits += [pair for pair in good if pair not in hits]
            elif fits:
                misfit = fits[0][1]
                if misfit.misfit == "pair" and misfit.pair:
                    problems.append(("side", list(misfit.pair)))
                else:
                    problems.append((misfit.misfit or "value", []))  # type: ignore[arg-type]
            else:
                problems.append(("value", []))
        cand = everything
        if any(grammar.tests[t].counts for t in cand) and any(
            v.item and v.item.grade for v in vals
        ):
            return [], [("site", [])]
        if signs and any(
            is_normal(grammar, t, v) and is_normal(grammar, t, signs[t]) is False
            for t, v in hits
            if t in signs
            and any(r.kind == "sign" and r.test == t for r in target.name.sign)
            and not any(x.deny or x.negated for x in vals)
            and not any(
                x.item and {r.id for r in x.item.readings} & {"present", "absent"} for x in vals
            )
        ):
            return [], [("value", [])]
        said_ = [
            Said(grade=v.item.grade, readings=v.item.readings, negated=v.negated)
            for v in vals
            if v.item is not None
        ]
        counted = settle_counts(grammar, hits, said_)
        if counted is None:
            return [], [("value", [])]
        hits = counted
        graded = {
            t
            for t, v in hits
            if grammar.tests[t].scale and v not in grammar.tests[t].values and v not in NOT_DONE
        }
        kept = []
        for t, v in hits:
            word = grammar.tests[t].values.get(v)
            if t in graded and word is None and self._with_word(t, hits, vals):
                continue  # "positive at forty degrees": the measure is a detail
            if t in graded and word is not None and self._with_word(t, hits, vals):
                kept.append((t, v))
                continue
            if t in graded and word is not None:
                grade = next(g for s, g in hits if s == t and g not in grammar.tests[t].values)
                if word.normal and is_normal(grammar, t, grade) is not False:
                    continue
                if grade in word.beside:
                    continue
                return [], [("value", [])]
            kept.append((t, v))
        for t in graded:
            if len({v for s, v in kept if s == t and v not in grammar.tests[t].values}) > 1:
                return [], [("value", [])]
        if problems and kept and own and not joint:
            return [], problems[:1]
        per: dict[str, set[bool | None]] = {}
        for t, v in kept:
            per.setdefault(t, set()).add(is_normal(grammar, t, v))
        if any(len(normals) > 1 and True in normals for normals in per.values()):
            return [], [("value", [])]
        return kept, problems

    def _beside(self, vals: list[Val], cand: list[str]) -> dict[int, int]:
        """ "React normally": two words side by side are of the tests that take both."""
        out: dict[int, int] = {}
        words = [v for v in vals if v.item is not None and v.item.grade is None and not v.alike]
        for a, b in itertools.pairwise(words):
            both = a.mask & b.mask
            if a.span[1] == b.span[0] and any(self.types.bit[t] & both for t in cand):
                out[id(a)] = out[id(b)] = both
        return out

    def _with_word(self, test: str, hits: list[tuple[str, str]], vals: list[Val]) -> bool:
        """A value word of the test was said beside its measure."""
        words = [v for t, v in hits if t == test]
        grades = [v.item.grade for v in vals if v.item is not None]
        return any(beside_word(self.grammar, test, w, grade) for w in words for grade in grades)

    def _careful(self, target: Target, test: str, val: Val) -> bool:
        """An ordinary word for a test counts only beside a value word of the test's own."""
        kinds = [r for r in target.name.kinds if r.test == test]
        casual = bool(kinds) and all(r.casual for r in kinds)
        return not casual or (
            val.item is not None and any(r.test == test for r in val.item.readings)
        )

    def _unnamed(self, test: str, val: Val) -> bool:
        """Grades of some scales count only where their test was named."""
        scale = self.grammar.tests[test].scale
        graded = val.item is not None and val.item.grade is not None
        return not graded or scale is None or self.grammar.scales[scale].unnamed

    def _of_sign(
        self, signs: dict[str, str], val: Val, good: list[tuple[str, str]]
    ) -> list[tuple[str, str]]:
        """ "Babinski positive": present or absent said of a sign is said of its own value."""
        assert val.item is not None
        sets = {r.id for r in val.item.readings if r.kind == "value" and not r.test}
        own = {r.test for r in val.item.readings if r.kind == "value" and r.test}
        for test, value in signs.items():
            looked = " " in val.item.text and test in own
            if looked and any(t == test and v != value for t, v in good):
                continue  # "not seen", of the fundi: no word for an absent sign
            if value not in self.grammar.tests[test].values:
                continue
            yes, no = "present" in sets, "absent" in sets
            if (yes and not val.negated) or (no and val.negated):
                return [(test, value)]
            if no or yes:
                turned = self._denied(test, value, False)
                return [(test, turned)] if turned else []
        return good

    def _total(
        self, claim: Claim
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        test = claim.parts[0][0].of_kind("part")[0].test
        scale = self.grammar.scales[self.grammar.tests[test].scale or ""]
        points = {
            p.of_kind("part")[0].id: int(v.grade.number)
            for p, v in claim.parts
            if v.grade is not None and v.grade.number.isdigit()
        }
        said = [
            f.value
            for v in claim.values
            if v.item
            and (f := fit(self.grammar, test, Said(grade=v.item.grade, readings=v.item.readings)))
            and f.value
        ]
        details = {r.id for item, _ in claim.details for r in item.of_kind("detail")}
        found = total_of(scale, points, said[0] if said else None, details)
        return ([(test, found)], []) if isinstance(found, str) else ([], [found])
