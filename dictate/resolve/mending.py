"""Whether what a sentence says is to stand in place of what was found before.

"Left grip rechecked, four", "edit: left grip four", "left grip is four, not five": no second value
beside the first, and no conflict.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dictate.grammar.load import Grammar
from dictate.interpret.interrupted import interrupts
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement
from dictate.model import Finding
from dictate.resolve.fit import fit

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: Words that announce it; the bare "no" may deny as well.
_ANNOUNCE = frozenset({"replace", "wrong", "take_back", "mends"})


@dataclass(frozen=True, slots=True)
class Mends:
    """What a sentence says of an earlier value.

    ``announced``: words of a correction stand in it. ``wrong``: values that it says were said by
    mistake.
    """

    announced: bool = False
    wrong: tuple[Said, ...] = ()

    def replaces(self, grammar: Grammar, old: Finding) -> bool:
        """Whether another value takes the place of an earlier finding.

        Args:
            grammar: For what a value means in the finding's test.
            old: The finding.
        """
        fits = (fit(grammar, old.test, said) for said in self.wrong)
        wrong = any(f is not None and not f.misfit and f.value == old.value for f in fits)
        return wrong or (self.announced and not self.wrong)


def mends_of(row: Sequence[Item]) -> Mends:
    """What the items of a sentence say of an earlier value."""
    announced = any(item.others & _ANNOUNCE and "deny" not in item.others for item in row)
    wrong = [item.instead_of for item in row if item.instead_of is not None]
    return Mends(announced, tuple(Said(grade=grade, readings=said) for grade, said in wrong))


def only_interrupts(resolver: Resolver, row: Sequence[Item]) -> bool:
    """Words that announce a correction correct nothing here: something else is spoken of."""
    now = len(resolver.utterances)
    last = [e.finding for e in resolver.entries if e.utterance >= now - 1]

    def fits(item: Item) -> bool:
        said = Said(item.grade, item.readings)
        return any(
            (f := fit(resolver.grammar, old.test, said)) is not None and not f.misfit
            for old in last
        )

    return interrupts(row, resolver.grammar, fits)


def of_another(resolver: Resolver, st: Statement, last: int) -> bool:
    """ "Strike that, the left grip is two", said after another test: it is of the grip.

    Args:
        resolver: The narration.
        st: What is said instead.
        last: The number of the last statement.
    """
    tests = {entry.finding.test for entry in resolver.entries if entry.statement == last}
    named = {r.test for t in st.targets for r in (*t.tests, *t.signs)}
    sites = {r.id for t in st.targets for r in t.sites}
    before = [
        entry.finding
        for entry in resolver.entries
        if (not named or entry.finding.test in named)
        and (entry.finding.site in sites if sites else entry.finding.site is None)
    ]
    taken = any(
        site in resolver.grammar.sites_of(test) for test in tests for site in sites
    ) or bool(tests & named)
    return bool(tests) and bool(before) and not taken


def in_short(resolver: Resolver, reading: Reading, st: Statement) -> bool:
    """ "Ankle dorsiflexion three. I mean, four for the ankle": a part of the name is enough.

    Args:
        resolver: The narration.
        reading: The utterance.
        st: What is said instead.
    """
    last = max((entry.statement for entry in resolver.entries), default=-1)
    old = [entry.finding for entry in resolver.entries if entry.statement == last]
    if len(st.targets) != 1 or not st.values or not old:
        return False
    target = st.targets[0]
    if target.tests or target.signs or (st.side or target.side) not in {None, old[-1].side}:
        return False
    words = {word for span in target.spans for word in reading.norms(span)}
    sites = {r.id for r in target.sites}
    fits = (fit(resolver.grammar, old[-1].test, said) for said in st.values)
    return part_of_name(words, sites, [f.site for f in old]) and any(
        f is not None and not f.misfit for f in fits
    )


def part_of_name(
    words: Collection[str], sites: Collection[str], said: Collection[str | None]
) -> bool:
    """Whether words are a part of the name of the one site that was said last.

    Args:
        words: Those that were said, folded.
        sites: What they name by themselves.
        said: The sites of what was found last.
    """
    site = next(iter(said)) if len(set(said)) == 1 else None
    whole = set(site.split("_")) if site else set()
    return bool(words) and whole > set(words) and site not in sites
