"""Corrections: operations on the narration so far; what they take out stays in the history."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from dictate.grammar.names import WHOLE
from dictate.interpret.lexicon import Reading
from dictate.interpret.statement import Said
from dictate.model import OTHER_SIDE, Finding, Place, Side, UtteranceKind
from dictate.parse.categories import Claim, Val
from dictate.parse.draft import Draft
from dictate.parse.entering import enter
from dictate.parse.holds import Hold
from dictate.parse.items import Item, Lattice, folded
from dictate.parse.state import Entry, Open
from dictate.parse.targets import Target
from dictate.resolve import questions
from dictate.resolve.fit import fit, is_normal

if TYPE_CHECKING:
    from dictate.parse.stating import Stating


def _last(n: Stating) -> int:
    return max([e.claim for e in n.s.entries] + [o.number for o in n.s.open], default=-1)


def remove(n: Stating, entry: Entry, why: str) -> None:
    """Take one finding out of the record and into the history."""
    n.do("removed", id=entry.id)
    n.past(why, entry.finding)


def close(n: Stating, one: Open, why: str) -> None:
    """Close one question."""
    n.do("closed", id=one.question.id)
    n.past(why, question=one.question)


def take_back(n: Stating) -> None:
    """Remove the last statement: its findings and its question."""
    last = _last(n)
    n.prior = []
    for entry in [e for e in n.s.entries if e.claim == last]:
        remove(n, entry, "taken_back")
    for one in [o for o in n.s.open if o.number == last]:
        close(n, one, "taken_back")


def correct(
    n: Stating, lattice: Lattice, claim: Claim, claims: list[Claim], i: int
) -> UtteranceKind | None:
    """Take back, swap, or replace what a correction names: a value, a side, a site, or all."""
    n.said = claim.values or n.said
    says = bool(claim.values) or any(name.sign for name in claim.names)
    side = _side_of(claim)
    if claim.fix == "swap":
        return _swap(n, lattice, claim)
    if claim.fix == "takeback":
        if says or claim.names:
            take_back(n)
            claim.fix = ""
            return n._state(lattice, claim, claims)
        if side:
            return _revalue(n, lattice, claim)
        take_back(n)
        return "command"
    if not claim.names and not claim.places and not says and not side:
        if (claim.unknown or claim.details or claim.degrees) and n.s.entries:
            return _ask_anew(n, lattice, claim)
        later = claims[i + 1] if i + 1 < len(claims) else None
        if later is not None and not later.fix:
            later.fix = claim.fix  # "sorry, I mean, left": the correction comes next
            return "command"
        return "command"
    if not claim.names and not claim.places:
        return _revalue(n, lattice, claim)
    return _restate(n, lattice, claim, says, claims)


def known(n: Stating, claim: Claim) -> bool:
    """A finding of its test and site is in the record, from an utterance before."""
    names = (*claim.names, *claim.places)
    sites = {r.id for x in names for r in x.sites}
    tests = {t for x in claim.names if x.tests for t in n.types.names(x.tests)}
    return any(
        (not sites or e.finding.site in sites) and (not tests or e.finding.test in tests)
        for e in n.s.entries
        if e.utterance < len(n.s.utterances) and (sites or tests)
    )


def not_that_side(n: Stating, claim: Claim, later: list[Claim]) -> bool:
    """ "On the right, not the right, the left": a side that was just said, denied."""
    side = claim.pside or claim.side
    bare = claim.pneg is not None and not (claim.names or claim.places or claim.values)
    last = _last(n)
    row = [e for e in n.s.entries if e.claim == last and e.id in n.taken]
    if not bare or side not in OTHER_SIDE or {e.finding.side for e in row} != {side}:
        return False
    after = later[0] if later else None
    other = OTHER_SIDE[side]
    if after is not None and (after.pside or after.side) != other:
        return False
    for entry in row:
        n.past("corrected", entry.finding)
        n.do("changed", id=entry.id, finding=replace(entry.finding, side=other))
    if after is not None:
        after.pside = after.side = None
        after.fix = "replace"
    return True


def doubt_last(n: Stating, lattice: Lattice) -> set[UtteranceKind]:
    """A correction that changed nothing: what was said last is asked, never kept as it was."""
    now = len(n.s.utterances)
    mine = [e for e in n.s.entries if e.utterance == now]
    last = max([e.claim for e in n.s.entries if e.utterance >= now - 1], default=-1)
    named = {
        r.test
        for it in lattice.items
        for r in it.readings
        if r.kind in ("test", "sign") and {"TEST", "SIGN"} & set(it.roles)
    }
    spoken = [e for e in n.s.entries if e.finding.test in named]
    of_these = [e for e in spoken if e.claim == spoken[-1].claim] if spoken else []
    row = mine or of_these or [e for e in n.s.entries if e.claim == last]
    here = n.meaning.place(lattice, (0, len(lattice.tokens)))
    for entry in row[-4:]:
        remove(n, entry, "corrected")
        n.open(questions.again(n.grammar, entry.finding, (*entry.finding.said, here)))
    return {"finding"} if row else set()


def of_all(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """ "All of that was the left arm": the last run is of that side; None if it is not said."""
    if not any(r.kind == "all_of_it" for it in items for r in it.readings) or any(
        it.grade is not None for it in items
    ):
        return None
    sides = {r.id for it in items for r in it.readings if r.kind == "side" and r.id in OTHER_SIDE}
    sides |= {r.side for it in items for r in it.readings if r.side in OTHER_SIDE}
    entries = [e for e in n.s.entries if e.id in n.s.run]
    if len(sides) > 1:  # "I've said left, sorry, all of that is the right"
        whole = [it.end for it in items if any(r.kind == "all_of_it" for r in it.readings)]
        after = [it for it in items if it.start >= whole[-1]]
        sides = {r.id for it in after for r in it.readings if r.kind == "side"} & set(OTHER_SIDE)
    if len(sides) != 1 or not entries:
        return None
    side = sides.pop()
    here = n.meaning.place(lattice, (items[0].start, items[-1].end))
    for entry in entries:
        if entry.finding.side not in (None, side):
            n.past("corrected", entry.finding)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(
                    entry.finding, side=cast(Side, side), said=(*entry.finding.said, here)
                ),
            )
    if n.s.holds.side is not None:
        n.hold(side=Hold(side, here, len(n.s.utterances)))
    return "command"


def _side_of(claim: Claim) -> str | None:
    side = claim.side or claim.pside
    if side in (None, "alike"):
        side = next((x.side for x in (*claim.names, *claim.places) if x.side), None)
    return side


def _ask_anew(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    """ "Make that plastic": corrected, and nobody knows into what."""
    last = _last(n)
    fresh = [e for e in n.s.entries if e.claim == last and e.utterance >= len(n.s.utterances) - 1]
    for entry in fresh:
        _ask_value(n, lattice, claim, entry)
    return "finding" if fresh else "remark"


def _ask_value(n: Stating, lattice: Lattice, claim: Claim, entry: Entry) -> None:
    remove(n, entry, "corrected")
    about = (*entry.finding.said, n.spoken(lattice, claim))
    n.open(questions.again(n.grammar, entry.finding, about))


def _swap(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    last = _last(n)
    here = n.spoken(lattice, claim)
    entries = [e for e in n.s.entries if e.claim == last and e.finding.side]
    flip = any(r.kind == "flip" for it in lattice.items for r in it.readings)
    named = {r.test for it in lattice.items for r in it.of_kind("test") if "TEST" in it.roles}
    if named and not flip:
        row = [e for e in n.s.entries if e.finding.test in named and e.finding.side in OTHER_SIDE]
        entries = [e for e in row if e.utterance == row[-1].utterance]
        flip = True
    elif _everything(n, lattice):
        entries, flip = [e for e in n.s.entries if e.finding.side in OTHER_SIDE], True
    elif _all_of_it(n, lattice):
        entries = [e for e in n.s.entries if e.id in n.s.run and e.finding.side] or entries
    elif not flip and _both_alike(n, entries):
        return _exchange(n, here, entries)
    if not flip and entries and len({e.finding.side for e in entries}) == 1:
        other = [
            e
            for e in n.s.entries
            if e.utterance == entries[0].utterance
            and e.finding.side == OTHER_SIDE[entries[0].finding.side or ""]
        ]
        entries += other
    if not entries:
        n.ask(lattice, claim, Draft(), ("referent", []))
        return "finding"
    for entry in entries:
        old = entry.finding
        n.past("corrected", old)
        n.do(
            "changed",
            id=entry.id,
            finding=replace(old, side=OTHER_SIDE[old.side or ""], said=(*old.said, here)),
        )
    return "command"


def _everything(n: Stating, lattice: Lattice) -> bool:
    """ "Everything so far is the wrong way round"."""
    whole = n.lattices.forms("everything")
    return any(folded(it.text) in whole for it in lattice.items)


def _both_alike(n: Stating, entries: list[Entry]) -> bool:
    """What was said last is of both sides, so that only values can have been exchanged."""
    sides = {e.finding.side for e in entries}
    return len(sides) == 2 and len({e.finding.value for e in entries}) == 1


def _exchange(n: Stating, here: Place, entries: list[Entry]) -> UtteranceKind:
    """ "Knees trace, ankles absent. The other way around.": the values of two sites change places.

    Where the utterance did not speak of just two, all of it is asked about.
    """
    spoken = [e for e in n.s.entries if e.utterance == entries[0].utterance]
    spots = list(dict.fromkeys((e.finding.test, e.finding.site) for e in spoken))
    values = {s: {e.finding.value for e in spoken if (e.finding.test, e.finding.site) == s}
              for s in spots}  # fmt: skip
    pair = len(spots) == 2 and spots[0][0] == spots[1][0]
    clear = pair and all(len(found) == 1 for found in values.values())
    for entry in spoken:
        old = entry.finding
        if not clear:
            remove(n, entry, "corrected")
            n.open(questions.again(n.grammar, old, (*old.said, here)))
            continue
        other = spots[1] if (old.test, old.site) == spots[0] else spots[0]
        value = next(iter(values[other]))
        n.past("corrected", old)
        normal = is_normal(n.grammar, old.test, value)
        said = (*old.said, here)
        n.do("changed", id=entry.id, finding=replace(old, value=value, normal=normal, said=said))
    return "command"


def _revalue(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind | None:
    """The last statement with another value or side ("no, make that four plus")."""
    last = _last(n)
    side = _side_of(claim)
    one = next((o for o in reversed(n.s.open) if o.number == last and o.claim is not None), None)
    if one is not None:
        return _reask(n, lattice, claim, one)
    entries = [e for e in n.s.entries if e.claim == last]
    if not entries:
        if n.strange or not (n.trade or claim.fix != "replace"):
            return "remark"
        n.ask(lattice, claim, Draft(), ("referent", []))
        return "finding"
    here = n.spoken(lattice, claim)
    if claim.values and not any(value_of(n, e.finding, v) for e in entries for v in claim.values):
        recent = [
            e for e in n.s.entries
            if any(value_of(n, e.finding, v) for v in claim.values)
            and side in (None, e.finding.side)
        ]  # fmt: skip
        if recent:
            entries = [e for e in recent if e.claim == recent[-1].claim]
    if claim.side == "alike" or _all_of_it(n, lattice):
        entries = [e for e in n.s.entries if e.id in n.s.run] or entries
    murky = claim.doubts or claim.unknown or claim.repeat or claim.strange
    if murky and entries:  # "five, no, could be four"
        for entry in entries:
            _ask_value(n, lattice, claim, entry)
        return "finding"
    if claim.values and side == "both":
        return _of_both_sides(n, here, claim, entries)
    if claim.values:
        if side in ("right", "left"):
            sites = {(e.finding.test, e.finding.site) for e in entries}
            of_side = [
                e
                for e in n.s.entries
                if e.finding.side == side and (e.finding.test, e.finding.site) in sites
            ]
            if claim.more and not of_side:
                return _as_well(n, lattice, claim, entries, side)
            entries = of_side or entries
        meant = [e for e in entries if any(value_of(n, e.finding, v) for v in claim.values)]
        for entry in meant or entries:
            old = entry.finding
            value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
            if value is None:
                _ask_value(n, lattice, claim, entry)
                continue
            new_side = old.side
            if side in ("right", "left") and len(entries) == 1:
                new_side = side  # type: ignore[assignment]
            n.past("corrected", old)
            normal = is_normal(n.grammar, old.test, value)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(
                    old, side=new_side, value=value, normal=normal, said=(*old.said, here)
                ),
            )
        return "finding"
    if side in ("right", "left", "other"):
        both = len({e.finding.side for e in entries}) == 2
        for entry in entries:
            old = entry.finding
            if old.side is None:
                continue
            new = side if side != "other" else OTHER_SIDE[old.side]
            if both and old.side != new:
                remove(n, entry, "corrected")
                continue
            n.past("corrected", old)
            n.do(
                "changed",
                id=entry.id,
                finding=replace(old, side=cast(Side, new), said=(*old.said, here)),
            )
        if n.s.holds.side is not None and side in ("right", "left"):
            n.hold(side=Hold(side, here, len(n.s.utterances)))
    return "command"


def _of_both_sides(
    n: Stating, here: Place, claim: Claim, entries: list[Entry]
) -> UtteranceKind | None:
    """ "Sorry, they are both extensor": the test and site of the last finding, on both sides."""
    for spot in dict.fromkeys((e.finding.test, e.finding.site) for e in entries):
        row = [e for e in n.s.entries if (e.finding.test, e.finding.site) == spot]
        old = row[-1].finding
        value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
        for entry in row:
            remove(n, entry, "corrected")
            if value is None:
                about = (*entry.finding.said, here)
                n.open(questions.again(n.grammar, entry.finding, about))
        if value is None:
            continue
        normal = is_normal(n.grammar, old.test, value)
        for one in ("right", "left"):
            new = replace(old, side=one, value=value, normal=normal, said=(*old.said, here))
            n.taken += enter(n, new, frozenset(), "start")
    return "finding"


def _as_well(
    n: Stating, lattice: Lattice, claim: Claim, entries: list[Entry], side: str
) -> UtteranceKind:
    """ "..., I mean dysmetric, and the right was fine": the other side of what was corrected."""
    for entry in entries:
        old = entry.finding
        value = next((x for v in reversed(claim.values) if (x := value_of(n, old, v))), None)
        if value is None:
            _ask_value(n, lattice, claim, entry)
            continue
        normal = is_normal(n.grammar, old.test, value)
        here = n.spoken(lattice, claim)
        new = replace(
            old,
            side=cast(Side, side),
            value=value,
            normal=normal,
            said=(*old.said, here),
            detail=(),
        )
        n.taken += enter(n, new, frozenset(), "start")
    return "finding"


def _all_of_it(n: Stating, lattice: Lattice) -> bool:
    """ "All of that was the left": the correction is of the whole last run."""
    return any(r.kind == "all_of_it" for it in lattice.items for r in it.readings)


def value_of(n: Stating, old: Finding, val: Val) -> str | None:
    if val.notdone:
        return str(val.notdone)
    if val.deny or val.item is None:
        return n.grammar.tests[old.test].denied
    found = fit(
        n.grammar,
        old.test,
        Said(grade=val.item.grade, readings=val.item.readings, negated=val.negated),
    )
    return found.value if found is not None and not found.misfit else None


def _reask(n: Stating, lattice: Lattice, claim: Claim, one: Open) -> UtteranceKind:
    """The last statement was a question; the correction answers or restates it."""
    assert one.claim is not None and one.lattice is not None
    close(n, one, "corrected")
    merged = one.claim.copy()
    merged.doubts = ()
    merged.unknown = ()
    if claim.values:
        merged.values = tuple(_bare(v) for v in claim.values)
        merged.mode = "NV"
    side = _side_of(claim)
    if side:
        merged.side = side
        names = []
        for name in merged.names:
            twin = name.copy()
            twin.side = None
            names.append(twin)
        merged.names = tuple(names)
    draft, _ = n.meaning.draft(one.lattice, merged, one.holds, one.before)
    here = n.spoken(lattice, claim)
    for finding in draft.findings:
        enter(n, replace(finding, said=(*finding.said, here)), frozenset(), "start")
    if draft.ask is not None:
        n.ask(one.lattice, merged, draft, draft.ask, list(one.before))
    return "finding"


def _bare(val: Val) -> Val:
    twin = val.copy()
    twin.span = (0, 0)
    return twin


def _restate(
    n: Stating, lattice: Lattice, claim: Claim, says: bool, claims: list[Claim]
) -> UtteranceKind | None:
    """A correction that names its target reaches back to the last finding of that target."""
    claim.fix = ""
    if not says:
        return _new_target(n, lattice, claim)
    draft, targets = n.meaning.draft(lattice, claim, n.s.holds, n.before)
    placed = _side_of(claim) or any(x.sites for x in (*claim.names, *claim.places))
    whole = draft.findings and all(
        f.side is None and f.site in (None, WHOLE) for f in draft.findings
    )
    tests = {f.test for f in draft.findings}
    at = [
        e
        for e in n.s.entries
        if e.finding.test in tests and (e.finding.side or e.finding.site not in (None, WHOLE))
    ]
    given: dict[str, str] | None = None
    if not placed and whole and len(tests) == 1 and at:
        last = max(e.claim for e in at)
        old = [e.finding for e in at if e.claim == last]
        if len({f.site for f in old}) > 1:
            n.ask(lattice, claim, Draft(), ("referent", []))
            return "finding"
        given = _given(old)
    elif {k for k, _ in draft.asks} and {k for k, _ in draft.asks} <= {"side", "test", "site"}:
        sites = {r.id for x in (*claim.names, *claim.places) for r in x.sites}
        for entry in reversed(n.s.entries):
            f = entry.finding
            if (f.site in sites) if sites else (f.test in draft.tests):
                same = [
                    e.finding
                    for e in n.s.entries
                    if e.claim == entry.claim
                    and (e.finding.test, e.finding.site) == (f.test, f.site)
                ]
                given = _given(same)
                if _side_of(claim):
                    given.pop("side", None)
                break
    if given:
        draft, targets = n.meaning.draft(lattice, claim, n.s.holds, n.before, given)
        for target in targets:
            _at_site(n, target, given)
    if claim.unknown and draft.findings:
        draft.findings, draft.asks = [], [("value", [])]
    spots = {(f.test, f.site) for f in draft.findings}
    known = any((e.finding.test, e.finding.site) in spots for e in n.s.entries)
    last = _last(n)
    here = [e for e in n.s.entries if e.claim == last]
    denied = any(v.deny for v in claim.values)
    if spots and not known and not denied and here and here[0].utterance >= len(n.s.utterances) - 0:
        for entry in here:
            remove(n, entry, "corrected")
    for finding in draft.findings:
        same_spot = [
            e
            for e in n.s.entries
            if (e.finding.test, e.finding.site) == (finding.test, finding.site)
        ]
        exact = [e for e in same_spot if e.finding.side == finding.side]
        named = bool(_side_of(claim))
        for entry in (exact or (same_spot[-1:] if named else same_spot))[-2:]:
            if entry in n.s.entries and (entry.finding.side == finding.side or not exact):
                remove(n, entry, "corrected")
        for one in n.s.open:
            offered = [f for c in one.question.choices for f in c.findings]
            if any(
                (f.test, f.site, f.side) == (finding.test, finding.site, finding.side)
                for f in offered
            ) and one.question.kind in ("conflict", "value", "scale", "heard"):
                close(n, one, "corrected")
    if _side_of(claim):
        n.hold(side=None)
    for finding in draft.findings:
        n.taken += enter(n, finding, frozenset(), "start")
    if draft.ask is not None:
        n.ask(lattice, claim, draft, draft.ask)
    n.before = targets if draft.findings or draft.asks else []
    return "finding" if draft.findings or draft.asks else "remark"


def _at_site(n: Stating, target: Target, given: dict[str, str]) -> None:
    """What the correction goes on with is of the site that was corrected."""
    test, site = given["test"], given.get("site")
    if site is None or target.name.sites:
        return
    group = n.grammar.tests[test].sites
    own = (
        Reading("site", site, group=group)
        if isinstance(group, str)
        else Reading("site", site, test)
    )
    target.name.sites = (own,)
    target.name.smask = n.types.sites((own,))


def _given(old: list[Finding]) -> dict[str, str]:
    given = {"test": old[0].test}
    if old[0].site:
        given["site"] = old[0].site
    sides = {f.side for f in old if f.side}
    if sides:
        given["side"] = "both" if len(sides) == 2 else next(iter(sides))
    return given


def _new_target(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind | None:
    """ "No, triceps": the last finding was meant for another site or test."""
    last = _last(n)
    entries = [e for e in n.s.entries if e.claim == last]
    if not entries:
        if n.strange or not (n.trade or claim.fix != "replace"):
            return "remark"
        n.ask(lattice, claim, Draft(), ("referent", []))
        return "finding"
    here = n.spoken(lattice, claim)
    names = (*claim.names, *claim.places)
    side = _side_of(claim)
    for entry in entries:
        old = entry.finding
        sites = n.grammar.sites_of(old.test)
        group = n.grammar.tests[old.test].sites
        term = next(
            (
                r
                for x in names
                for r in x.sites
                if r.id in sites and (r.group == group or r.test == old.test)
            ),
            None,
        )
        entry_site = sites.get(old.site or "")
        if term is not None and entry_site is not None and term.id in entry_site.part_of:
            term = None  # "the left arm": of a muscle of the arm, only the side is meant
        if term is None and (side not in ("right", "left") or any(x.tests for x in names)):
            _ask_value(n, lattice, claim, entry)
            continue
        n.past("corrected", old)
        new = replace(
            old,
            site=term.id if term else old.site,
            site_said=(term.kept or None) if term else old.site_said,
            side=cast(Side, side) if side in ("right", "left") else old.side,
            said=(*old.said, here),
        )
        n.do("removed", id=entry.id)
        enter(n, new, frozenset(), "start")
    return "command"
