"""Two values of one thing under two conditions: "absent, one plus with reinforcement"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dictate.parse.categories import Claim, Types, Val
from dictate.parse.items import Lattice


def parted(types: Types, lattice: Lattice, claims: Sequence[Claim]) -> list[Claim]:
    """Claims, each with one value where a condition tells its values apart."""
    out: list[Claim] = []
    for claim in claims:
        out.extend(_parts(lattice, claim) if _told_apart(types, claim) else (claim,))
    return out


def _told_apart(types: Types, claim: Claim) -> bool:
    """Several values, each with words of its own, and a condition of one of them."""
    spans = [v.span for v in claim.values]
    said = all(v.item is not None and not v.negated and b > a for v, (a, b) in zip(
        claim.values, spans, strict=True
    ))  # fmt: skip
    return len(spans) > 1 and said and claim.mode == "NV" and _condition(types, claim)


def _condition(types: Types, claim: Claim) -> bool:
    """A detail of a test that takes all of the values."""
    own = {v.span for v in claim.values}
    return any(
        all(v.mask & types.bit[r.test] for v in claim.values)
        for item, span in claim.details
        if span not in own
        for r in item.of_kind("detail")
    )


def _parts(lattice: Lattice, claim: Claim) -> Iterator[Claim]:
    values = sorted(claim.values, key=lambda v: v.span)
    commas = [it.start for it in lattice.items if it.roles[0] == "COMMA"]
    mine = [[d for d in claim.details if _owner(values, commas, d[1]) == i]
            for i in range(len(values))]  # fmt: skip
    for i, value in enumerate(values):
        part = claim.copy()
        part.values, part.details = (value,), tuple(mine[i])
        if i:
            part.names = part.places = ()
            part.side = part.pside = None
            part.link, part.mode, part.colon = "comma", "V", False
            part.degrees = part.doubts = part.reasons = ()
            part.start = min([value.span[0], *(span[0] for _, span in mine[i])])
        yield part


def _owner(values: Sequence[Val], commas: Sequence[int], span: tuple[int, int]) -> int:
    """Which value a detail stands beside: the one before it, if no comma stands between."""
    before = [i for i, v in enumerate(values) if v.span[1] <= span[0]]
    if not before:
        return 0
    last = before[-1]
    parted_ = any(values[last].span[1] <= at < span[0] for at in commas)
    return last + 1 if parted_ and last + 1 < len(values) else last
