"""One claim of the chart to findings, or to the first thing that must be asked about it.

A pure function of the claim, of what holds, and of answers given so far. Nothing unsaid is chosen:
where more than one test, site, side or value is left, it is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from dictate.grammar.load import Grammar
from dictate.grammar.names import WHOLE
from dictate.interpret.statement import Said
from dictate.model import OTHER_SIDE, Finding, Place, QuestionKind
from dictate.parse.categories import Claim, Name, Span, Types, Val
from dictate.parse.holds import Hold, Holds
from dictate.parse.items import Item, Lattice
from dictate.resolve.fit import NOT_DONE, alike, fit, is_normal, settles_scale, side_rule, takes
from dictate.resolve.places import place_at

#: What is asked first where one claim lacks several things.
FIRST: tuple[QuestionKind, ...] = (
    "heard",
    "scale",
    "conflict",
    "value",
    "site",
    "test",
    "side",
    "referent",
)
BOTH: tuple[str | None, ...] = ("right", "left")


@dataclass(slots=True)
class Draft:
    """Findings of a claim, and what must be asked of it: kind, and what is offered."""

    findings: list[Finding] = field(default_factory=list)
    asks: list[tuple[QuestionKind, list[str]]] = field(default_factory=list)
    tests: list[str] = field(default_factory=list)
    site: str | None = None
    sides: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)

    @property
    def ask(self) -> tuple[QuestionKind, list[str]] | None:
        """The one question of the claim: the first that its answer depends on."""
        return min(self.asks, key=lambda ask: FIRST.index(ask[0]), default=None)


@dataclass(slots=True)
class Target:
    """One thing examined, with all that the claim says of where it is."""

    name: Name
    own: bool
    side: str | None = None
    both: bool = False
    lost: bool = False
    carried: str | None = None
    listed: bool = False


def types_taking(types: Types, name: Name) -> int:
    """The tests of a name that take its site."""
    return types.lifted(name.tests) & name.smask


class Meaning:
    """Works out claims by one grammar."""

    def __init__(self, grammar: Grammar, types: Types) -> None:
        """Take the grammar and its types."""
        self.grammar = grammar
        self.types = types
        closed = grammar.closed
        self._examining = {w for form in closed.get("examine", ()) for w in form.split()}
        self._denying = {w for form in closed.get("denying", ()) for w in form.split()}
        self._whole = {name for name, t in grammar.tests.items() if "all" in grammar.sites_of(name)}

    # ---- what the claim speaks of

    def targets(self, claim: Claim, before: Sequence[Target]) -> list[Target]:
        """The things examined; a claim without names goes on with those before it."""
        shared = 0
        for name in claim.names:
            shared |= name.tests
        areas = {
            self.grammar.area_of(t).area for t in self.types.names(shared & ~self.types.summary)
        }
        if areas and len(claim.names) > 1 and claim.names[0].tests & self.types.summary:
            first = claim.names[0]
            if (
                not first.sites
                and {self.grammar.area_of(t).area for t in self.types.names(first.tests)} & areas
            ):
                claim = claim.copy()
                claim.names = claim.names[
                    1:
                ]  # "sensory examination, light touch and pinprick intact"
        out: list[Target] = []
        side: str | None = None
        for name in claim.names:
            n = name.copy()
            own = bool(n.tests) or bool(
                n.sites and all(r.test for r in n.sites) and len({r.test for r in n.sites}) == 1
            )
            if not n.tests and shared & n.smask:
                n.tests, own = shared & n.smask, True
                n.both = n.both or (len(claim.names) > 1 and self._plural_after(claim))
            siteless = shared & self.types.siteless
            if (
                not n.tests
                and siteless
                and any(r.group == "limb" for r in n.sites)
                and (n.side or n.both)
            ):
                n.tests, n.sites, n.smask, own = siteless, (), 0, True
                n.sign = next((x.sign for x in claim.names if x.tests), ())
                n.kinds = next((x.kinds for x in claim.names if x.tests), ())
            carried = side if n.joined else None
            side = n.side or carried
            out.append(Target(n, own, n.side, n.both, listed=n.joined, carried=carried))
            apart = n.tests & ~types_taking(self.types, n) if n.sites and n.tests else 0
            if apart and apart != n.tests and len({r.test for r in n.sign}) > 1:
                other = n.copy()  # "A&O times three": the one has sites, the other has none
                other.tests, other.sites, other.smask = apart, (), 0
                out.append(Target(other, own, n.side, False, listed=n.joined, carried=carried))
        if claim.places:
            out = self._placed(claim, out, before)
        elif not out and before and (claim.values or claim.side) and self._goes_on(claim):
            out = []
            for target in before:
                t = replace(target, name=target.name.copy())
                t.name.spans = ()
                turns = any(
                    v.deny or (v.item is not None and any(r.id in ("present", "absent") for r in v.item.readings))
                    for v in claim.values
                )  # fmt: skip
                if not turns:
                    t.name.sign = ()
                given = claim.side or claim.pside
                if given == "other" and t.side in OTHER_SIDE:
                    t.side = OTHER_SIDE[t.side]
                elif given:
                    t.side, t.both = None, False
                out.append(t)
        given = claim.side or claim.pside
        for target in out:
            if given and given not in ("alike", "other") and (not target.side or target.listed):
                target.side = given if not target.side or given == "both" else target.side
        return out

    def _goes_on(self, claim: Claim) -> bool:
        """A claim without a name may go on with the one before it; "could not" by itself does not."""
        undone = any(v.notdone for v in claim.values)
        on = claim.link in ("but", "except", "comma", "and") and not claim.unknown
        return not undone or bool(claim.side or claim.pside or on)

    def _plural_after(self, claim: Claim) -> bool:
        last = claim.names[-1]
        return (
            bool(last.tests)
            and last.both
            and any(r.kind == "after_site" and r.plural for r in last.kinds)
        )

    def _placed(self, claim: Claim, named: list[Target], before: Sequence[Target]) -> list[Target]:
        if not named:
            tests = 0
            spans: tuple[Span, ...] = ()
            for t in before:
                if t.own:
                    tests |= t.name.tests
            ghost = Name()
            ghost.tests = tests
            ghost.spans = spans
            named = [Target(ghost, bool(tests))]
        out: list[Target] = []
        for target in named:
            took = False
            side: str | None = None
            for p in claim.places:
                side = p.side or (side if p.joined else None)
                n = target.name.copy()
                n.spans = (*n.spans, *p.spans)
                if n.sites:
                    if p.side and not target.side:
                        target.side = p.side
                        target.name.spans = n.spans
                    elif p.both and not target.side:
                        target.both = True
                        target.name.spans = n.spans
                    continue
                apart = n.tests & ~self.types.lifted(n.tests & p.smask) & ~p.smask
                if n.tests & p.smask and apart and len({r.test for r in n.sign}) > 1 and not took:
                    other = n.copy()  # "A&O to person": the one has places, the other has none
                    other.tests = apart
                    out.append(Target(other, True, target.side))
                    n.tests &= p.smask
                if n.tests and not self.types.lifted(n.tests) & p.smask:
                    if p.side and not target.side:
                        target.side = p.side
                    elif p.both and not target.side:
                        target.both = True
                    n2 = target.name.copy()
                    n2.spans = n.spans
                    target.name = n2
                    target.lost = target.lost or any(r.id != WHOLE for r in p.sites)
                    continue
                n.sites, n.smask, n.edge = p.sites, p.smask, p.edge
                n.placed = True
                took = True
                out.append(
                    Target(
                        n,
                        target.own,
                        side or target.side,
                        p.both and not side,
                        listed=p.joined,
                        carried=target.carried,
                    )
                )
            if not took:
                out.append(target)
        return out

    # ---- the draft

    def draft(
        self, lattice: Lattice, claim: Claim, holds: Holds, before: Sequence[Target] = (),
        given: dict[str, str] | None = None,
    ) -> tuple[Draft, list[Target]]:  # fmt: skip
        """Findings and questions of one claim, and what it spoke of.

        Args:
            lattice: The utterance.
            claim: The claim.
            holds: What headings and earlier items give it.
            before: What the claim before spoke of.
            given: Answers so far: ``side``, ``test``, ``site``, ``value``.
        """
        given = dict(given or {})
        out = Draft()
        targets = self.targets(claim, before)
        if "value" not in given and claim.doubts:
            out.asks.append(("value", []))
            out.why.append("words of doubt")
        if not targets and (claim.values or claim.parts):
            targets = self._by_value(claim, holds, out)
        for target in targets:
            self._one(lattice, claim, target, holds, given, out)
        if any(kind == "value" for kind, _ in out.asks) and claim.doubts:
            out.findings = []
        return out, targets

    def _by_value(self, claim: Claim, holds: Holds, out: Draft) -> list[Target]:
        """A value alone that names its test ("20/40", "four out of five"), or goes on with one."""
        mask = 0
        for val in claim.values:
            if val.item is None or val.notdone:
                continue
            said = Said(grade=val.item.grade, readings=val.item.readings)
            for name in self.types.names(val.mask):
                scale = self.grammar.tests[name].scale
                own = any(r.test == name for r in val.item.readings)
                line = (
                    val.item.grade is not None
                    and scale
                    and self.grammar.scales[scale].kind == "acuity"
                )
                line = (
                    line
                    and val.item.grade is not None
                    and val.item.grade.of not in (None, *self.grammar.denominators)
                )
                if (
                    settles_scale(self.grammar, name, said)
                    or line
                    or (own and holds.item_test and holds.item_test.id == name)
                    or (
                        own
                        and holds.site is not None
                        and holds.site.id in self.grammar.sites_of(name)
                    )
                ):
                    mask |= self.types.bit[name]
        if claim.parts:
            mask = self.types.of({claim.parts[0][0].of_kind("part")[0].test})
        soft = holds.item_test or holds.test
        if not mask and soft is not None and claim.rest:
            mask = self.types.bit[soft.id]
        if not mask:
            signed = any(
                v.item is not None and v.item.grade is not None
                and (v.item.grade.sign or v.item.grade.of or claim.side or claim.pside)
                for v in claim.values
            )  # fmt: skip
            if signed:
                out.asks.append(("site", []))
            return []
        ghost = Name()
        ghost.tests = mask
        return [Target(ghost, True, claim.side or claim.pside)]

    def _one(
        self,
        lattice: Lattice,
        claim: Claim,
        target: Target,
        holds: Holds,
        given: dict[str, str],
        out: Draft,
    ) -> None:
        name = target.name
        mask = name.mask(self.types)
        if name.tests and name.sites and not mask:
            out.asks.append(("site", []))
            out.tests += [t for t in self.types.names(name.tests) if t not in out.tests]
            return
        cand = self.types.names(mask)
        own = target.own
        if not own:
            softly = self._softly(claim, target, cand, holds)
            held = softly != cand or (
                len(softly) == 1
                and any(h and h.id == softly[0] for h in (holds.item_test, holds.test))
            )
            cand = softly
        else:
            held = False
        named = any(r.kind in ("test", "sign") for r in name.kinds) or (own and not name.sites)
        if not named:
            kept = {h.id for h in (holds.item_test, holds.test) if h is not None}
            needy = [t for t in cand if self.grammar.tests[t].sites_need_name and t not in kept]
            shared = claim.names and any(
                any(r.kind in ("test", "sign") for r in x.kinds) for x in claim.names
            )
            if needy and not shared:
                cand = [t for t in cand if t not in needy]
                if not cand:
                    return
        if given.get("test") in cand:
            cand, own = [given["test"]], True
        if any(not r.id for r in name.sites) and "site" not in given:
            out.tests += [t for t in cand if t not in out.tests]
            out.asks.append(("site", []))
            return
        if own and name.tests and not name.tests & ~self.types.general and claim.values:
            cand = self._of_area(claim, cand)  # "motor five out of five"
        denies = any(v.deny for v in claim.values)
        hits, problems = self._values(
            lattice, claim, target, cand, own or (held and not denies), given
        )
        if not own and len({t for t, _ in hits}) > 1:
            soft = {h.id for h in (holds.item_test, holds.test) if h is not None}
            hits = [(t, v) for t, v in hits if t in soft] or hits
        out.tests += [
            t for t in dict.fromkeys([t for t, _ in hits] or cand[:8]) if t not in out.tests
        ]
        site = next(iter(name.sites), None)
        out.site = site.id if site is not None and out.site is None else out.site
        if not own and len({t for t, _ in hits}) > 1:
            out.asks.append(("test", list(dict.fromkeys(t for t, _ in hits))))
            return
        if not hits:
            if not own and not problems and not name.sites:
                return
            out.asks.append(problems[0] if problems else ("value", []))
            return
        covered = {c for t, _ in hits for c in self.grammar.tests[t].covers}
        hits = [(t, v) for t, v in hits if t not in covered or not is_normal(self.grammar, t, v)]
        for test, value in hits:
            self._place(lattice, claim, target, test, value, holds, given, out)
        out.asks.extend(problems)

    def _of_area(self, claim: Claim, cand: list[str]) -> list[str]:
        """A general test with a grade: the test of its area that the grade names."""
        val = claim.values[0]
        if val.item is None or val.item.grade is None or val.mask & self.types.of(cand):
            return cand
        areas = {self.grammar.area_of(t).area for t in cand}
        said = Said(grade=val.item.grade)
        found = [
            t for t in self.types.names(val.mask)
            if self.grammar.area_of(t).area in areas and settles_scale(self.grammar, t, said)
        ]  # fmt: skip
        return found or cand

    def _softly(self, claim: Claim, target: Target, cand: list[str], holds: Holds) -> list[str]:
        """A site without a test: of the test that holds, if it takes the site and the value."""
        for hold in (holds.item_test, holds.test):
            if hold is not None and hold.id in cand:
                bit = self.types.bit[hold.id]
                fits = [v for v in claim.values if v.notdone or v.deny or v.mask & bit]
                good = [v for v in fits if v.item is None or not self._misfit(hold.id, v)]
                if good or not claim.values:
                    return [hold.id]
        return cand

    def _misfit(self, test: str, val: Val) -> bool:
        if val.item is None or val.notdone:
            return False
        found = fit(
            self.grammar,
            test,
            Said(grade=val.item.grade, readings=val.item.readings, negated=val.negated),
        )
        return found is None or found.misfit in ("scale", "value")

    # ---- values

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
        vals = [
            v for v in claim.values
            if not (v.alike and len(claim.values) > 1 and (graded_too or not v.mask & self.types.of(cand)))
        ] or list(claim.values)  # fmt: skip
        hits: list[tuple[str, str]] = []
        problems: list[tuple[QuestionKind, list[str]]] = []
        joint = self._joint(lattice, target)
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
            if val.notdone:
                meant = cand if joint or own is False else cand[:1]
                hits += [(t, self._undone(t, val, claim)) for t in meant]
                continue
            if val.deny:
                plain = not target.name.sign and (target.name.placed or claim.link == "but")
                found = [
                    (t, v)
                    for t in cand
                    if own
                    and not plain
                    and (v := self._denied(t, signs.get(t), bool(target.name.sites)))
                ]
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
            good = self._of_sign(signs, val, good)
            good = [(t, self._kept_from(t, v, val, claim)) for t, v in good]
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
        if any(grammar.tests[t].counts for t in cand) and any(
            v.item and v.item.grade for v in vals
        ):
            return [], [("site", [])]
        if signs and any(
            is_normal(grammar, t, v) and is_normal(grammar, t, signs[t]) is False
            for t, v in hits if t in signs and any(r.kind == "sign" and r.test == t for r in target.name.sign) and not any(x.deny or x.negated for x in vals)
            and not any(x.item and {r.id for r in x.item.readings} & {"present", "absent"} for x in vals)
        ):  # fmt: skip
            return [], [("value", [])]
        graded = {
            t
            for t, v in hits
            if grammar.tests[t].scale and v not in grammar.tests[t].values and v not in NOT_DONE
        }
        kept = []
        for t, v in hits:
            word = grammar.tests[t].values.get(v)
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

    def _undone(self, test: str, val: Val, claim: Claim) -> str:
        """ "Cannot smile": what the patient could not do is a finding; what was not tried is none."""
        spec = self.grammar.tests[test]
        words = set((val.item.text if val.item else "").split())
        tried = val.item is not None and (val.item.verb or words & self._examining)
        if (
            val.notdone == "unable"
            and not tried
            and not claim.reasons
            and "weak" in spec.values
            and spec.scale is None
        ):
            return "weak"
        return val.notdone

    def _kept_from(self, test: str, value: str | None, val: Val, claim: Claim) -> str | None:
        """ "Not obtainable because of the oedema": looking was not possible."""
        words = (val.item.text if val.item else "").split()
        denied = val.negated or bool(words and (set(words) & self._denying or words[0] == "not"))
        return (
            "unable" if value == "absent" and denied and claim.reasons and claim.why_not else value
        )

    def _movement(self, test: str, value: str | None) -> bool:
        """What a denial gives is itself a movement ("does not go up" is not "goes down")."""
        spec = self.grammar.tests[test]
        plain = {"normal", "absent", "negative", "impaired", "abnormal"}
        return value == spec.denied and value not in plain and len(spec.values) > 2

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
        for test, value in signs.items():
            if value not in self.grammar.tests[test].values:
                continue
            yes, no = "present" in sets, "absent" in sets
            if (yes and not val.negated) or (no and val.negated):
                return [(test, value)]
            if no or yes:
                turned = self._denied(test, value, False)
                return [(test, turned)] if turned else []
        return good

    def _denied(self, test: str, sign: str | None, placed: bool) -> str | None:
        """What denying a test's name or sign says."""
        spec = self.grammar.tests[test]
        if sign is not None and sign in spec.values:
            if spec.denied and spec.values[sign].normal is not True:
                return spec.denied
            others = [v for v in spec.values if v != sign]
            if len(others) == 1 and spec.scale is None:
                return others[0]
            return "absent" if "absent" in spec.values and sign != "absent" else None
        if spec.denied and spec.denied == "absent":
            return "absent"
        if "absent" in spec.values:
            return "absent"
        return None

    def _joint(self, lattice: Lattice, target: Target) -> bool:
        """One form that names several tests ("gait and station")."""
        words = set(self.grammar.speech.join) | {","}
        return any(
            len(names := {r.test for r in target.name.kinds}) > 1 and names
            and words & set(lattice.text(a, b).lower().replace(",", " , ").split())
            for a, b in target.name.spans
        ) or any("&" in lattice.text(a, b) or lattice.text(a, b).isupper() for a, b in target.name.spans if len({r.test for r in target.name.sign}) > 1)  # fmt: skip

    def _total(
        self, claim: Claim
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        test = claim.parts[0][0].of_kind("part")[0].test
        scale = self.grammar.scales[self.grammar.tests[test].scale or ""]
        sizes = {
            p.of_kind("part")[0].id: int(v.grade.number)
            for p, v in claim.parts
            if v.grade is not None and v.grade.number.isdigit()
        }
        if any(not scale.parts[p].low <= n <= scale.parts[p].high for p, n in sizes.items()):
            return [], [("scale", [])]
        said = [
            f.value
            for v in claim.values
            if v.item
            and (f := fit(self.grammar, test, Said(grade=v.item.grade, readings=v.item.readings)))
            and f.value
        ]
        whole = str(sum(sizes.values())) if len(sizes) == len(scale.parts) else None
        if said and whole and said[0] != whole:
            return [], [("conflict", [said[0], whole])]
        value = said[0] if said else whole
        return ([(test, value)], []) if value else ([], [("value", [])])

    # ---- site and side

    def _place(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, value: str, holds: Holds,
        given: dict[str, str], out: Draft,
    ) -> None:  # fmt: skip
        spec, sites = self.grammar.tests[test], self.grammar.sites_of(test)
        normal = is_normal(self.grammar, test, value)
        name = target.name
        reading = next(
            (r for r in name.sites if r.test == test or (r.group and r.group == spec.sites)), None
        )
        several = next((r.sites for r in name.sites if r.sites and r.test == test), ())
        extra: list[Place] = []
        hold = holds.item_site or holds.site
        site = reading.id if reading is not None else None
        kept = (reading.kept or None) if reading is not None else None
        if site == WHOLE and self._throughout(lattice, target):
            if holds.item_site is not None and holds.item_side is not None:
                out.asks.append(("site", []))  # "right arm drift, power five throughout"
                return
            if hold is not None or holds.side is not None:
                site = None
                name = name.copy()
                name.sites, name.smask = (), 0
                target = replace(target, name=name)
        if claim.twice and len(claim.places) > 1:
            out.asks.append(("site", []))
            return
        if site is None and sites:
            if given.get("site") in sites:
                site = given["site"]
            elif self._rest_of_what(claim, holds):
                out.asks.append(("site", []))
                return
            elif (
                hold is not None
                and hold.id in sites
                and (not claim.rest or hold.utterance == holds.now)
            ):
                rows = [hold.id, *hold.more] if hold is holds.site else [hold.id]
                for one in rows:
                    self._sided(
                        lattice,
                        claim,
                        target,
                        test,
                        one,
                        None,
                        value,
                        holds,
                        given,
                        out,
                        [hold.place],
                    )
                return
            elif (
                target.lost
                or (name.sites and reading is None and isinstance(spec.sites, str))
                or (hold is not None and isinstance(spec.sites, str))
            ):
                out.asks.append(("site", []))
                return
            else:
                site = self._of_whole(claim, target, test, value, normal)
                if site == "?":
                    out.asks.append(("site", []))
                    return
        elif site is None and not sites:
            limb = bool(name.sites) or target.lost or hold is not None
            if normal and limb and (spec.of_limbs or (spec.side == "none" and hold is not None)):
                out.asks.append(("test", []))
                return
        if name.sites == () and site == WHOLE and "site" not in given:
            lent = any(test in self.grammar.tests[near].lends_place for near in holds.near)
            graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
            alike_ = claim.side == "alike" or claim.rest
            if lent or (graded and holds.near_site and isinstance(spec.sites, str) and not alike_):
                out.asks.append(("site", []))
                return
        site = self._narrowed(lattice, claim, test, site)
        for one in several or (site,):
            self._sided(lattice, claim, target, test, one, kept, value, holds, given, out, extra)

    def _rest_of_what(self, claim: Claim, holds: Holds) -> bool:
        """ "Right deltoid four, otherwise five": of that side, of the limb, or of the whole?"""
        graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
        headed = holds.site is not None and holds.site.utterance == holds.now
        sided = holds.side is not None or holds.item_side is not None
        return claim.rest and graded and sided and not headed

    def _throughout(self, lattice: Lattice, target: Target) -> bool:
        words = {lattice.text(a, b).lower() for a, b in target.name.spans}
        return bool(words & set(self.grammar.speech.throughout))

    def _of_whole(
        self, claim: Claim, target: Target, test: str, value: str, normal: bool | None
    ) -> str | None:
        spec = self.grammar.tests[test]
        whole = WHOLE if test in self._whole else None
        kinds = [r for r in target.name.kinds if r.test == test]
        if kinds and all(r.kind == "after_site" and not r.plural for r in kinds):
            return "?"
        if value in NOT_DONE or normal is True:
            return whole
        if spec.site_not_said:
            return spec.site_not_said
        if value == "absent" or value == spec.denied:
            return whole
        alike = claim.side == "alike" or any(v.alike for v in claim.values) or target.side == "both"
        return whole if alike and whole else "?"

    def _narrowed(self, lattice: Lattice, claim: Claim, test: str, site: str | None) -> str | None:
        """ "distally in the arms": the part of the limb, where the test has it as a site."""
        if site is None:
            return site
        said = {lattice.text(*span).lower() for _, span in claim.details}
        for name, entry in self.grammar.sites_of(test).items():
            if site in entry.part_of and said & set(entry.narrowed_by):
                return name
        return site

    def _sided(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, site: str | None, kept: str | None,
        value: str, holds: Holds, given: dict[str, str], out: Draft, extra: list[Place],
    ) -> None:  # fmt: skip
        sides, more = self._sides(claim, target, test, site, value, holds, given)
        words = [v for v in claim.values if not v.deny and not v.notdone]
        only_alike = bool(words) and all(v.alike for v in words)
        if sides is None or (only_alike and len(sides) == 1 and sides[0] is not None):
            out.asks.append(("side", []))  # one side is not like itself
            return
        normal = is_normal(self.grammar, test, value)
        places = self._said(lattice, claim, target, [*extra, *more])
        entry = self.grammar.sites_of(test).get(site or "")
        halves: list[str | None] = [site]
        if entry is not None and kept and len(sides) == 1 and sides[0] is not None:
            halves = [h for h in entry.halves.get(kept, ()) if h] or [site]
        details = self._details(lattice, claim, target, test, value)
        said = target.side or claim.side or claim.pside
        if side_rule(self.grammar, test, site, value) == "none" and said in ("right", "left"):
            details = (*details, said)
        for half in halves:
            shown = kept if half == site else None
            for side in sides:
                out.findings.append(
                    Finding(test, half, side, value, details, normal, places, shown)
                )  # type: ignore[arg-type]
                if side and side not in out.sides:
                    out.sides.append(side)

    def _sides(
        self, claim: Claim, target: Target, test: str, site: str | None, value: str, holds: Holds,
        given: dict[str, str],
    ) -> tuple[list[str | None] | None, list[Place]]:  # fmt: skip
        rule = side_rule(self.grammar, test, site, value)
        if rule == "none":
            return [None], []
        entry = self.grammar.sites_of(test).get(site or "")
        whole = entry is not None and entry.unsided
        normal = is_normal(self.grammar, test, value)
        healthy = normal is not False and (bool(normal) or value == "absent" or value in NOT_DONE)
        needed = rule == "needed" or (rule == "abnormal" and not healthy)
        said = given.get("side") or target.side
        if said == "other" or said == "alike":
            said = None
        if said == "both":
            return ([None] if whole else list(BOTH)), []
        if said:
            return [said], []
        head = holds.side
        if whole:
            if head is not None and head.id != "both" and site == WHOLE and not target.name.sites:
                return [head.id], [head.place]
            return [None], []
        plural = target.both
        if value in NOT_DONE and not (
            self.grammar.tests[test].side == "needed" and target.name.sites
        ):
            plural = False
        elif not target.name.sites:
            plural = any(
                r.plural and r.test == test and r.kind == "test" for r in target.name.kinds
            )
        item = holds.item_side
        area = item is not None and item.area and item.area != self.grammar.area_of(test).area
        if plural and (rule in ("needed", "abnormal") or value in NOT_DONE):
            held = item or head
            if any(r.group == "limb" and r.plural for r in target.name.sites):
                return list(BOTH), []
            if held is None or held.id == "both" or claim.side == "alike":
                return list(BOTH), []
            limb = holds.item_site or holds.site
            part = entry.part_of if entry is not None else ()
            if limb is not None and limb.id in part:
                return [held.id], [held.place]
            if item is not None:
                return list(BOTH), []
            return None, []
        if needed and target.carried in ("right", "left", "both"):
            return (list(BOTH) if target.carried == "both" else [target.carried]), []
        if needed and claim.list_side == "ask" and head is None:
            return None, []
        if needed and claim.list_side and head is None:
            return (list(BOTH) if claim.list_side == "both" else [claim.list_side]), []
        if claim.side == "alike" and rule == "needed":
            return list(BOTH), []
        if needed and head is None and self._denied_sign(claim, target, test, value):
            return [None], []
        if item is not None and needed and not area:
            return (list(BOTH) if item.id == "both" else [item.id]), [item.place]
        if head is not None and head.area == "plural" and not needed:
            return [None], []
        if head is not None and item is None:
            return (list(BOTH) if head.id == "both" else [head.id]), [head.place]
        alike = any(v.alike for v in claim.values)
        if alike and needed:
            return list(BOTH), []
        if needed and self._denied_sign(claim, target, test, value):
            return [None], []
        return (None if needed else [None]), []

    def _denied_sign(self, claim: Claim, target: Target, test: str, value: str) -> bool:
        """ "No Babinski": the sign denied is one finding, whatever side its test needs."""
        return value == self.grammar.tests[test].denied and any(
            r.kind == "sign" and r.test == test for r in target.name.sign
        )

    # ---- where it was said, and how

    def _said(
        self, lattice: Lattice, claim: Claim, target: Target, extra: list[Place]
    ) -> tuple[Place, ...]:
        tokens: set[int] = set()
        spans = [
            *target.name.spans,
            *(v.span for v in claim.values),
            *claim.degrees,
            *claim.reasons,
        ]
        spans += [span for _, span in claim.details]
        if claim.pside_span:
            spans.append(claim.pside_span)
        for p in claim.places:
            spans += p.spans
        for p, v in claim.parts:
            spans += [(p.start, p.end), (v.start, v.end)]
        for a, b in spans:
            tokens.update(range(a, b))
        out = list(extra)
        run: list[int] = []
        for i in [*sorted(tokens), -1]:
            if run and i != run[-1] + 1:
                out.append(self.place(lattice, (run[0], run[-1] + 1)))
                run = []
            if i >= 0:
                run.append(i)
        return tuple(dict.fromkeys(out))

    def place(self, lattice: Lattice, span: Span) -> Place:
        """A token span as a place."""
        a, b = span
        return place_at(lattice.utterance, lattice.tokens[a].start, lattice.tokens[b - 1].end)

    def _details(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, value: str
    ) -> tuple[str, ...]:
        found: list[tuple[int, str]] = []
        for item, span in claim.details:
            label = next((r.id for r in item.readings if r.kind == "detail" and r.test == test), "")
            found.append((span[0], label or lattice.text(*span)))
        for span in [*claim.degrees, *claim.reasons, *claim.compare]:
            found.append((span[0], lattice.text(*span)))
        for a, b in target.name.spans:
            for item in lattice.items:
                if item.start == a and item.end == b:
                    found += [
                        (a, r.id) for r in item.readings if r.kind == "detail" and r.test == test
                    ]
        if claim.rest:
            found.append((-1, "the rest"))
        for p, v in claim.parts:
            part = p.of_kind("part")[0]
            if v.grade is not None:
                found.append((p.start, f"{part.id}{v.grade.number}"))
        for val in claim.values:
            item2: Item | None = val.item
            if item2 is not None:
                for r in item2.readings:
                    if r.kind in ("detail",) and r.test == test:
                        found.append((item2.start, r.id))
                if item2.grade is not None and item2.grade.extra:
                    found.append((item2.start, lattice.text(*item2.grade.extra)))
                if (
                    item2.grade is None
                    and value not in item2.text.replace(" ", "_")
                    and self.grammar.tests[test].values.get(value)
                ):
                    own = self.grammar.tests[test].values[value]
                    if item2.text in own.spoken and own.normal is False:
                        found.append((item2.start, lattice.text(item2.start, item2.end)))
        return tuple(dict.fromkeys(text for _, text in sorted(found, key=lambda pair: pair[0])))


__all__ = ["Draft", "Hold", "Meaning", "Target"]
