"""A reader and the network that retells come to the same of a whole utterance.

The three err in different ways: where two of them say just the same findings of all of it, the
third has misread it, whatever it asks or finds instead. (Sentence by sentence it was tried too:
no more was found, and a correction in the next sentence was missed.)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from dictate.model import Finding
from dictate.resolve.strange import Key, key_of

#: Test, site and side.
Part = tuple[str, str | None, str | None]
#: What an utterance says stands last among the places of a finding; each utterance looks at all
#: findings, and one that was said a thousand times has a thousand places.
_NEWEST = 16


@dataclass(frozen=True)
class Heard:
    """What one reader has made of an utterance.

    ``before`` and ``now``: all that it had found before it, and has now. ``asks``: it asks about
    something of the utterance. ``here``: the utterance's id.
    """

    before: Mapping[Key, Finding]
    now: Mapping[Key, Finding]
    asks: bool
    here: str

    @property
    def said(self) -> dict[Key, Finding]:
        """What the utterance says, said for the first time or again."""
        return {key: f for key, f in self.now.items() if self._of_it(f)}

    @property
    def lost(self) -> set[Key]:
        """What was found before and is no longer."""
        return self.before.keys() - self.now.keys()

    def like(self, other: Heard) -> bool:
        """Whether both have understood the same, and neither asks."""
        asks = self.asks or other.asks
        return not asks and self.said.keys() == other.said.keys() and self.lost == other.lost

    def says(self, rows: Iterable[Key]) -> bool:
        """Whether it comes to just these findings, and contradicts nothing.

        What it takes back must be of the same part as what it finds: that was corrected.
        """
        told = set(rows)
        if self.said.keys() != told:
            return False
        parts = {_part(key) for key in told}
        older = {_part(key) for key in self.now.keys() - told}
        return {_part(key) for key in self.lost} <= parts and parts.isdisjoint(older)

    def in_place_of(self, other: Heard) -> list[Finding] | None:
        """What the other must give up for this to hold; None where an older finding is at stake."""
        said = self.said.keys()
        given = [f for key, f in other.said.items() if key not in said]
        if any(key_of(f) in other.before for f in given):
            return None
        lost = self.lost
        old = [f for key, f in other.now.items() if key in lost]
        parts = {_part(key) for key in said}
        kept = other.now.keys() - {key_of(f) for f in (*given, *old)} - said
        if other.lost - lost or any(_part(key) in parts for key in kept):
            return None
        return [*given, *old]

    def _of_it(self, finding: Finding) -> bool:
        return any(place.utterance == self.here for place in finding.said[-_NEWEST:])


def _part(key: Key) -> Part:
    """What a finding is of, whatever was found."""
    return key[0], key[1], key[2]


def touches(told: Iterable[Key], before: Iterable[Key]) -> bool:
    """Whether something older is of a part that is told of now, with another value."""
    older: dict[tuple[str, str | None], list[Key]] = {}
    for key in before:
        older.setdefault(key[:2], []).append(key)
    return any(
        key != old and (key[2] == old[2] or None in (key[2], old[2]))
        for key in told
        for old in older.get(key[:2], ())
    )
