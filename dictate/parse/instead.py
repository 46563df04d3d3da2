"""They name what was meant: "L5, not L4", "strike the toe extension", "both, that was"."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.model import OTHER_SIDE, UtteranceKind
from dictate.parse import corrections
from dictate.parse.amending import close, remove
from dictate.parse.categories import Claim, Name
from dictate.parse.entering import enter
from dictate.parse.items import Item, Lattice, folded
from dictate.parse.state import Entry

if TYPE_CHECKING:
    from dictate.parse.stating import Stating

#: Roles that may stand beside a side that answers what was left open.
_BARE = frozenset(
    {"SIDE", "SITE", "COMMA", "AND", "MISC", "REPLACE", "HESITATION", "FILLER", "PREP"}
)


def _denied(claim: Claim) -> bool:
    """Names that are denied, with no value of their own."""
    said = bool(claim.names or claim.places) and bool(claim.values)
    return said and all(v.deny and v.item is None for v in claim.values)


def _bare(claim: Claim) -> bool:
    names = (*claim.names, *claim.places)
    return bool(names) and not (claim.values or claim.unknown or any(x.sign for x in names))


def in_its_place(n: Stating, lattice: Lattice, one: Claim, other: Claim) -> bool:
    """ "L5, not L4", "not L4, L5": the last finding at the one was of the other; whether it was."""
    right, wrong = (one, other) if _bare(one) else (other, one)
    if not (_bare(right) and _denied(wrong)) or other.link not in ("comma", "next", "and"):
        return False
    new, old = [(*c.names, *c.places)[0] for c in (right, wrong)]
    if not (new.sites and old.sites) or new.tests & ~n.types.all:
        return False
    at = [e for e in n.s.entries if _is_at(n, e, old) and e.utterance >= len(n.s.utterances) - 1]
    if not at:
        return False
    last = at[-1]
    group = n.grammar.tests[last.finding.test].sites
    sites = n.grammar.sites_of(last.finding.test)
    site = next((r for r in new.sites if r.id in sites and group in (r.group, None)), None)
    if site is None:
        site = next((r for r in new.sites if r.id in sites and r.test == last.finding.test), None)
    if site is None:
        return False
    here = n.spoken(lattice, right)
    for entry in [e for e in at if e.claim == last.claim]:
        found = entry.finding
        n.past("corrected", found)
        n.do("removed", id=entry.id)
        new_one = replace(
            found, site=site.id, site_said=site.kept or None, said=(*found.said, here)
        )
        enter(n, new_one, frozenset(), "start")
    return True


def _is_at(n: Stating, entry: Entry, name: Name) -> bool:
    found = entry.finding
    if name.tests and not n.types.bit[found.test] & name.tests:
        return False
    if name.side not in (None, "both", found.side):
        return False
    return not name.sites or any(r.id == found.site for r in name.sites)


def erased(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """ "Strike the toe extension", "forget the left one": what is named is taken back."""
    words = [it for it in items if it.roles[0] not in ("HESITATION", "FILLER")]
    first = words[0] if words else None
    if first is None:
        return None
    framed = any(r.kind == "erases" for r in first.readings)
    if not framed and folded(first.text) not in n.lattices.forms("erase"):
        return None
    start = words[1].start if len(words) > 1 else 0
    definite = framed or any(r.kind == "definite" for it in words[1:2] for r in it.readings)
    if not definite and words[1:2] and words[1].text not in n.grammar.speech.article:
        return None
    end = next((i for i, it in enumerate(words) if i and it.roles[0] == "COMMA"), len(words))
    if framed and (said := _said_instead(n, lattice, words, end)) is not None:
        return said
    if any(it.grade is not None or "DENY" in it.roles for it in words[:end]):
        return None
    claims = n.chart.parses([it for it in words[1:end] if it.start >= start])[0].chain()
    claim = next((c for c in claims if not c.empty), None)
    if claim is None or claim.values:
        return None
    names = (*claim.names, *claim.places)
    side = claim.side or claim.pside
    if not names and side not in OTHER_SIDE:
        return None
    tests = {e.finding.test for e in n.s.entries[-1:]}
    at = [
        e
        for e in n.s.entries
        if (all(_is_at(n, e, x) for x in names) if names else e.finding.test in tests)
        and side in (None, e.finding.side)
    ]
    if not at:
        return None
    for entry in [e for e in at if e.claim == at[-1].claim]:
        remove(n, entry, "taken_back")
    return "command"


def _said_instead(
    n: Stating, lattice: Lattice, words: list[Item], end: int
) -> UtteranceKind | None:
    """ "Scratch the left biceps, it's two plus": what is named has the value after it."""
    body = [*words[1:end], *words[end + 1 :]]
    claims = [c for c in n.chart.parses(body)[0].chain() if not c.empty]
    claim = claims[0] if claims else None
    if claim is None or not claim.names or not claim.values or len(claims) > 1:
        return None
    if any(c.unknown or c.doubts for c in claims):
        return None
    claim.fix = "replace"
    return corrections.correct(n, lattice, claim, claims, 0)


def side_meant(n: Stating, lattice: Lattice, items: list[Item]) -> UtteranceKind | None:
    """ "Both, that was.": the side that the questions of the utterance before left open."""
    now = len(n.s.utterances)
    forms = n.lattices.forms("meant")
    sides = {r.id for it in items for r in it.readings if r.kind in ("side", "trails")}
    sides |= {"both" for it in items for r in it.readings if r.kind == "site" and r.plural}
    said = any(folded(it.text) in forms for it in items)
    open_ = [
        o for o in n.s.open
        if o.question.kind == "side" and o.claim is not None and o.lattice is not None
        and o.utterance == now - 1
    ]  # fmt: skip
    if not (said and open_ and len(sides) == 1 and all(set(it.roles) & _BARE for it in items)):
        return None
    side = sides.pop()
    limbs = {r.id for it in items for r in it.readings if r.kind == "site" and r.group == "limb"}
    if side not in ("right", "left", "both"):
        return None
    here = n.meaning.place(lattice, (items[0].start, items[-1].end))
    rows = ("right", "left") if side == "both" else (side,)
    done = False
    for one in open_:
        if one.lattice is None or one.claim is None:
            continue
        held = one.lattice, one.claim, one.holds, one.before
        drafts = [n.meaning.draft(*held, {**one.given, "side": s})[0] for s in rows]
        found = [f for d in drafts for f in d.findings]
        if (
            not found
            or any(d.asks for d in drafts)
            or not all(_of_limb(n, f.test, f.site, limbs) for f in found)
        ):
            continue
        close(n, one, "answered")
        done = True
        for finding in dict.fromkeys(found):
            new = replace(finding, said=(*finding.said, here))
            n.taken += enter(n, new, frozenset(), "start")
    return "finding" if done else None


def _of_limb(n: Stating, test: str, site: str | None, limbs: set[str]) -> bool:
    entry = n.grammar.sites_of(test).get(site or "")
    return not limbs or entry is None or bool(limbs & {site, *entry.part_of})
