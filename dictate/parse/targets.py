"""What a claim speaks of: the names of the claim, with the places and sides that are theirs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.grammar.load import Grammar
from dictate.grammar.names import WHOLE
from dictate.model import OTHER_SIDE
from dictate.parse.categories import Claim, Name, Span, Types


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


class Targets:
    """What a claim speaks of, by one grammar."""

    def __init__(self, grammar: Grammar, types: Types) -> None:
        """Take the grammar and its types."""
        self.grammar = grammar
        self.types = types
        closed = grammar.classes
        self._examining = {w for form in closed.get("examine", ()) for w in form.split()}
        self._denying = {w for form in closed.get("denying", ()) for w in form.split()}
        self._negative = frozenset(closed.get("negative", ()))
        #: Ordinary words that stand for a set of values ("up", "off").
        self.loose = frozenset(
            form for name, forms in closed.items() if name.startswith("as_") for form in forms
        )
        self._not_got = frozenset(closed.get("not_got", ()))
        self._whole = {name for name, t in grammar.tests.items() if "all" in grammar.sites_of(name)}

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
        graded = any(v.item is not None and v.item.grade is not None for v in claim.values)
        goes_on = graded and claim.link in ("comma", "and") and bool(claim.side)
        if (claim.side_cut or goes_on) and out and before and not claim.places:
            _site_before(out, before)
        elif graded and claim.link in ("comma", "and") and not (claim.places or claim.rest):
            self._of_that_place(claim, out, before)
        if claim.places:
            out = self._placed(claim, out, before)
        elif not out and before and (claim.values or claim.side) and self._goes_on(claim):
            out = []
            for target in before:
                t = replace(target, name=target.name.copy())
                t.name.spans = ()
                if not _turns(claim):
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

    def _of_that_place(self, claim: Claim, out: list[Target], before: Sequence[Target]) -> None:
        """ "Tone is spastic in the left leg, Ashworth two": the grade is of that leg."""
        bare = all(t.name.tests and not (t.name.sites or t.name.sign) for t in out)
        same = len(out) == 1 and bool(out[0].name.tests & self.types.along)
        sited = before and all(t.name.sites for t in before)
        if not (bare and same and sited):
            return
        name, side = out[0].name, out[0].side or claim.side or claim.pside
        if any(t.name.tests and not t.name.tests & name.tests for t in before):
            return
        out[:] = []
        for old in before:
            twin = name.copy()
            twin.sites, twin.smask, twin.placed = old.name.sites, old.name.smask, True
            both = old.both and not side
            out.append(replace(old, name=twin, own=True, side=side or old.side, both=both))

    def _goes_on(self, claim: Claim) -> bool:
        """A claim without a name may go on with the one before; "could not" by itself does not."""
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
            if before and _turns(claim) and len({t.name.sign for t in before}) == 1:
                ghost.sign = before[0].name.sign  # "wasting of both hands, none in the arms"
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


def _turns(claim: Claim) -> bool:
    """Says that something is there, or that it is not."""
    return any(
        v.deny
        or (v.item is not None and any(r.id in ("present", "absent") for r in v.item.readings))
        for v in claim.values
    )


def types_taking(types: Types, name: Name) -> int:
    """The tests of a name that take its site."""
    return types.lifted(name.tests) & name.smask


def _site_before(row: list[Target], before: Sequence[Target]) -> None:
    """ "Rigidity in the left arm, normal tone in the right": in the right one of the same."""
    for target in row:
        name = target.name
        old = next(
            (t.name for t in before if t.name.sites and (t.name.tests or name.tests) & name.tests),
            None,
        )
        if old is not None and not name.sites and name.tests & old.smask:
            name.sites, name.smask, name.placed = old.sites, old.smask, True
