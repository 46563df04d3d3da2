"""Whether a claim says that what was just found is found of something else as well."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from dictate.parse.categories import Claim
from dictate.parse.items import Item

#: What may stand between a name and the word that says "too".
_BETWEEN = frozenset({"COMMA", "AND", "MISC", "PREP", "SIDE", "SITE", "TEST", "FILLER"})


def says_too(items: Sequence[Item], claim: Claim, so_too: Collection[str]) -> bool:
    """ "The leg too", "biceps and triceps as well", "so are the legs": names, and "too".

    Args:
        items: The sentence.
        claim: A claim of it.
        so_too: Forms that say "too" before what is named.
    """
    names = (*claim.names, *claim.places)
    spans = [span for name in names for span in name.spans]
    bare = not (claim.values or claim.colon or claim.rest or claim.parts)
    if not bare or not spans or any(name.sign for name in names):
        return False
    start, end = min(a for a, _ in spans), max(b for _, b in spans)
    before = [item for item in items if item.end <= start]
    so = any(item.roles[0] == "REPEAT" and item.text in so_too for item in before)
    if so or claim.repeat:
        return so
    after = [item for item in items if item.start >= end]
    for i, item in enumerate(after):
        if _also(item):
            inside = item.start <= claim.end and any(it.roles[0] == "VALUE" for it in before)
            return i + 1 == len(after) or inside or _joined(after[i + 1 : i + 3])
        if item.roles[0] not in _BETWEEN:
            return False
    plain = all(item.roles[0] in _BETWEEN - {"SITE", "TEST"} for item in before)
    return any(map(_also, before)) and plain


def ends_with_too(row: Sequence[Item]) -> bool:
    """ "Increased in the right leg, left leg too": what follows the comma is no value of it."""
    if not row or not _also(row[-1]):
        return False
    start = max((i for i, it in enumerate(row) if it.roles[0] in ("COMMA", "COLON")), default=0)
    roles = [set(item.roles) for item in row[start:]]
    named = any({"SITE", "TEST"} & kinds for kinds in roles)
    told = any({"VALUE", "SIGN", "NOTDONE", "DENIED"} & kinds for kinds in roles)
    return bool(start) and named and not told and any("VALUE" in it.roles for it in row[:start])


def _joined(after: Sequence[Item]) -> bool:
    """A joining word, and no value after it."""
    return after[0].roles[0] in ("COMMA", "AND") and "VALUE" not in after[-1].roles


def _also(item: Item) -> bool:
    return any(reading.kind == "also" for reading in item.readings)
