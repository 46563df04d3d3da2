"""What holds in a narration just now: frozen, so a question can keep it and a preview drop it."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.interpret.columns import Columns
from dictate.interpret.told import Told
from dictate.model import Place


@dataclass(frozen=True, slots=True)
class Hold:
    """A side, site or test that holds for what follows, where it was said, and in which utterance.

    ``area``: the section that a side of an item is kept to. ``more``: other sites of the heading.
    ``graded``: of the test a grade was said, or nothing yet, so that a bare grade that follows in
    the same utterance is of its scale. ``side``: that of a limb,
    both where it was named in the plural.
    """

    id: str
    place: Place
    utterance: int = 0
    area: str = ""
    more: tuple[str, ...] = ()
    graded: bool = False
    side: str | None = None


@dataclass(frozen=True, slots=True)
class Holds:
    """``side``, ``site`` and ``test`` come from headings; those of an item end with the utterance.

    ``near``: the tests that the utterance spoke of so far; ``near_site``: it named a part of the
    body. ``now``: the number of the utterance. ``columns``: which half of a pair is which side.
    ``told``: the instruction to the patient that ended the utterance before.
    """

    side: Hold | None = None
    site: Hold | None = None
    test: Hold | None = None
    item_side: Hold | None = None
    item_site: Hold | None = None
    item_test: Hold | None = None
    section: str | None = None
    near: frozenset[str] = frozenset()
    list_side: str | None = None
    near_site: bool = False
    now: int = 0
    columns: Columns | None = None
    told: Told | None = None
