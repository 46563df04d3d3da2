"""What a denial says is not so, where that is a word that changes nothing elsewhere.

"No impressive weakness" denies the weakness; "the weakness is not impressive" denies how it
impresses, and of the weakness it says nothing that is known.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.items import Item

_DENIES = frozenset({"deny", "denied"})
_JOINS = frozenset({"glue", "degree"})
_ENDS = frozenset({"comma", "stop", "colon", "but", "and"})


def is_denied(row: Sequence[Item], i: int) -> bool:
    """Nothing but this word, in its clause, is what the denial before it denies.

    Args:
        row: The items of a sentence.
        i: Where in it a word stands that joins and means nothing elsewhere.
    """
    before = i - 1
    while before >= 0 and row[before].kind in _JOINS:
        before -= 1
    if before < 0 or row[before].kind not in _DENIES:
        return False
    after = i + 1
    while after < len(row) and row[after].kind in _JOINS:
        after += 1
    return after == len(row) or row[after].kind in _ENDS
