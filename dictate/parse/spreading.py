"""A side that comes once at the end of a list, for all of the list."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.lexicon import Reading
from dictate.interpret.tokens import norms
from dictate.parse.categories import Claim
from dictate.parse.items import Item, Lattice, both
from dictate.parse.senses import Senses

_FIXING = {"REPLACE", "TAKEBACK", "SWAP"}


class ListEnds(Senses):
    """ "All of that bilaterally", "that's the right", "both of them": the end of a list."""

    def list_ends(self, items: list[Item]) -> list[Item]:
        """The items, with what closes a list marked, and no word of a correction any more."""
        out: list[Item] = []
        valued = fixed = sided = False
        for i, item in enumerate(items):
            role = item.roles[0]
            if role == "STOP":
                valued = fixed = sided = False
            fixed = fixed or bool(_FIXING & set(item.roles))
            words = norms(item.text)
            placed = i and items[i - 1].roles[0] in ("PREP", "RANGE")
            if valued and not fixed and words in self._classes.get("list_both", ()):
                if _ends(items, i + 1) and not (sided or placed):
                    side = (Reading("trails", "both"), Reading("list_end", "both"))
                    out.append(Item(item.start, item.end, side[0].id, ("SIDE",), side))
                    continue
            elif valued and not fixed and words in self._classes.get("list_end", ()):
                k = _next(items, i + 1)
                if k < len(items) and items[k].roles[0] == "SIDE" and _ends(items, k + 1):
                    reading = (Reading("list_end", item.text),)
                    out.append(Item(item.start, item.end, item.text, ("MISC",), reading))
                    continue
            valued = valued or "VALUE" in item.roles
            sided = sided or role == "SIDE"
            out.append(item)
        return out


def _next(items: Sequence[Item], k: int) -> int:
    """Where the next item with a meaning is."""
    while k < len(items) and items[k].roles[0] in ("MISC", "COMMA", "PREP", "AND"):
        k += 1
    return k


def _ends(items: Sequence[Item], k: int) -> bool:
    """Nothing but words that mean nothing comes before the sentence ends."""
    k = _next(items, k)
    return k == len(items) or items[k].roles[0] == "STOP"


def spread(lattice: Lattice, claims: list[Claim]) -> None:
    """Give the claims of a list the side that is said at its end; a lone side is then used up."""
    row: list[Claim] = []
    for i, claim in enumerate(claims):
        if claim.link not in ("and", "comma", "next", "start", "waits") or not _item(claim):
            row = []
        if _own_side(claim):
            _give(lattice, row, claim, claims[i + 1 :])
            row = []
        elif _item(claim):
            row.append(claim)
    _lone(claims)


def _give(lattice: Lattice, row: list[Claim], claim: Claim, after: Sequence[Claim]) -> None:
    """The side of a claim is that of the row before it, where it came late."""
    end = _last_side(lattice, claim)
    marked = end is not None and _marked(lattice, claim, end)
    side = claim.side or (claim.places[-1].side if claim.places else None)
    if side == "alike":
        side, marked = ("both", False) if not after else (None, False)
    late = claim.side_placed or side == "both" or marked
    if not row or not side or not late or any(n.side for n in claim.names):
        return
    unmarked = any(one.link == "next" for one in (*row[1:], claim))
    open_ = _goes_on(after)
    if open_ or not unmarked or marked or side == "both":
        for one in row:
            one.list_side = "ask" if open_ else side
            one.list_closed = marked and not open_


def _goes_on(after: Sequence[Claim]) -> bool:
    """Items of the list follow that get no side of their own."""
    for claim in after:
        if claim.link not in ("comma", "and") or not _item(claim):
            return claim is not after[0]
        if _own_side(claim):
            return False
    return bool(after)


def _item(claim: Claim) -> bool:
    """An item of a list: something named, with its value."""
    return bool((claim.names or claim.places) and claim.values) and not claim.unknown


def _own_side(claim: Claim) -> bool:
    sided = any(n.side for n in (*claim.names, *claim.places))
    return bool(claim.side or claim.pside) or sided


def _last_side(lattice: Lattice, claim: Claim) -> Item | None:
    """The item that ends a claim with its side."""
    inside = [it for it in lattice.items if claim.start <= it.start < claim.end]
    return next((it for it in reversed(inside) if it.roles[0] == "SIDE"), None)


def _marked(lattice: Lattice, claim: Claim, end: Item) -> bool:
    """The side is said of the whole list: a word that closes it, or a comma before the side."""
    before: Item | None = None
    for item in lattice.items:
        if item is end:
            break
        if claim.start <= item.start and any(r.kind == "list_end" for r in item.readings):
            return True
        if item.roles[0] not in ("MISC", "PREP"):
            before = item
    apart = before is not None and before.roles[0] == "COMMA" and before.end > before.start
    return any(r.kind == "list_end" for r in end.readings) or (apart and both(end))


def _lone(claims: list[Claim]) -> None:
    """A last claim that is nothing but a side, or "both legs", is that of all before it."""
    last = claims[-1] if claims else None
    if last is None or len(claims) < 2 or last.link not in ("comma", "next"):
        return
    side = last.pside or last.side
    again = last.repeat and side != "both"  # "identical on both sides" says no more than the side
    bare = not (last.values or last.unknown or last.fix or again)
    limb = last.names[0] if len(last.names) == 1 and not last.places else None
    if bare and limb is not None and not limb.tests and limb.side == "both":
        if any(r.group == "limb" for r in limb.sites):
            side = limb.side
    elif not bare or last.names or last.places:
        return
    named = [c for c in claims[:-1] if c.values]
    if side in ("right", "left", "both") and named and not any(_own_side(c) for c in named):
        for one in named:
            one.list_side, one.list_closed = side, True
        claims.remove(last)
