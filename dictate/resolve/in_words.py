"""What the words of one utterance say, and what the networks may not bring in beside them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said
from dictate.model import OTHER_SIDE, Finding
from dictate.resolve.fit import fit
from dictate.resolve.strange import Key

#: What says both sides after a value ("two plus and symmetric").
_AFTER = "both_after"
#: Words of denial, exception, correction, doubt, comparison, and of what is not here and now.
_GRAVE = frozenset(
    {
        "deny", "denied", "pseudo", "except", "exception", "take_back", "replace", "swap", "doubt",
        "repeat", "compare", "rest", "whole_run", "elsewhere", "reported",
    }
)  # fmt: skip
_UNDONE = frozenset({"deny", "denied", "unable", "not_tested"})
_SIDED = frozenset(OTHER_SIDE)


class InWords:
    """The words of one utterance, as the grammar reads them."""

    def __init__(self, grammar: Grammar, reading: Reading | None, labelled: bool) -> None:
        """Look at nothing yet.

        Args:
            grammar: All that can be said.
            reading: None where nothing was read: then no word says anything.
            labelled: Who speaks is told.
        """
        self._grammar, self._reading, self._labelled = grammar, reading, labelled

    def _items(self) -> Iterator[Item]:
        for sentence in self._reading.sentences if self._reading is not None else ():
            yield from sentence.row

    def _has(self, kinds: Collection[str]) -> bool:
        return any(not {item.kind, *item.others}.isdisjoint(kinds) for item in self._items())

    def plainly_told(self) -> bool:
        """It is the examiner's, and has no word that turns, doubts, excepts, corrects or compares.

        Nor one of another time, another person, a condition or hearsay: what such words reach is
        what the networks are surest of and wrong about.
        """
        reading = self._reading
        if reading is None or (reading.speaker == "patient" and self._labelled):
            return False
        return not self._has(_GRAVE)

    def turned(self) -> bool:
        """Something of it is denied, cannot be done or was not done.

        The networks often leave out such a sentence; that is no answer to what is asked of it.
        """
        return self._has(_UNDONE)

    def names_something(self) -> bool:
        """A test, a place or a sign is named: else it is talk, or goes on with what was before."""
        return any(item.kind == "target" for item in self._items())

    def say(self, findings: Iterable[Finding], offered: Collection[Key]) -> bool:
        """Whether there is a word for what no reader has found: its side and its value.

        Args:
            findings: What it is retold as.
            offered: What questions of it offer: a side may be that of an earlier utterance.
        """
        sides = self.sides()
        known = {(test, site, side) for test, site, side, _ in offered}
        return all(
            (f.side is None or f.side in sides or (f.test, f.site, f.side) in known)
            and self._valued(f)
            for f in findings
        )

    def _valued(self, finding: Finding) -> bool:
        """A word or grade of it is, for the grammar, what was found."""
        for item in self._items():
            if item.grade is None and not item.readings:
                continue
            fits = fit(self._grammar, finding.test, Said(item.grade, item.readings))
            if fits is not None and fits.value == finding.value:
                return True
        return False

    def sides(self) -> set[str]:
        """The sides that are said."""
        sides = set[str]()
        for item in self._items():
            if _AFTER in item.others | {item.kind}:
                return set(_SIDED)
            sides |= {one.id for one in item.of_kind("side")}
        return sides if sides <= _SIDED else set(_SIDED)
