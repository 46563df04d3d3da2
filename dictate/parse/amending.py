"""What every correction works with: the last statement, what is taken out, what it becomes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.interpret.statement import Said
from dictate.model import Finding, UtteranceKind
from dictate.parse.categories import Claim, Val
from dictate.parse.draft import Draft
from dictate.parse.items import Lattice
from dictate.parse.state import Entry, Open
from dictate.resolve import questions
from dictate.resolve.fit import fit
from dictate.resolve.several import how_many, last_of

if TYPE_CHECKING:
    from dictate.parse.stating import Stating

#: Kinds of words for the whole of what was just said.
WHOLE = frozenset({"all_of_it", "whole_run"})


def last_claim(n: Stating) -> int:
    """The number of the last claim that found or asked something; -1 for none."""
    return max([e.claim for e in n.s.entries] + [o.number for o in n.s.open], default=-1)


def remove(n: Stating, entry: Entry, why: str) -> None:
    """Take one finding out of the record and into the history."""
    n.do("removed", id=entry.id)
    n.past(why, entry.finding)


def close(n: Stating, one: Open, why: str) -> None:
    """Close one question."""
    n.do("closed", id=one.question.id)
    n.past(why, question=one.question)


def take_back(n: Stating, lattice: Lattice) -> None:
    """Remove the last statement, or as many as are said: its findings and its question."""
    words = next((it.text for it in lattice.items if it.of_kind("take_back")), "")
    many = how_many(n.grammar, words)
    n.prior = []
    if many is None:
        last = max((e.utterance for e in n.s.entries), default=-1)
        for entry in [e for e in n.s.entries if e.utterance == last]:
            remove(n, entry, "corrected")
            n.open(questions.again(n.grammar, entry.finding, entry.finding.said))
        return
    gone = last_of([e.claim for e in n.s.entries] + [o.number for o in n.s.open], many)
    for entry in [e for e in n.s.entries if e.claim in gone]:
        remove(n, entry, "taken_back")
    for one in [o for o in n.s.open if o.number in gone]:
        close(n, one, "taken_back")


def side_of_claim(claim: Claim) -> str | None:
    """The side that a claim says, of itself or of what it names."""
    side = claim.side or claim.pside
    if side in (None, "alike"):
        side = next((x.side for x in (*claim.names, *claim.places) if x.side), None)
    return side


def ask_what(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    """A correction of something is asked about: of what?"""
    n.ask(lattice, claim, Draft(), ("referent", []))
    return "finding"


def nothing_before(n: Stating, lattice: Lattice, claim: Claim) -> UtteranceKind:
    """A correction with no finding before it: asked about, where it speaks of the examination."""
    if n.strange or not (n.trade or claim.fix != "replace"):
        return "remark"
    return ask_what(n, lattice, claim)


def ask_value(n: Stating, lattice: Lattice, claim: Claim, entry: Entry) -> None:
    remove(n, entry, "corrected")
    about = (*entry.finding.said, n.spoken(lattice, claim))
    n.open(questions.again(n.grammar, entry.finding, about))


def all_of_it(n: Stating, lattice: Lattice) -> bool:
    """ "All of that was the left": the correction is of the whole last run."""
    return any(r.kind in WHOLE for it in lattice.items for r in it.readings)


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


def bare_value(val: Val) -> Val:
    twin = val.copy()
    twin.span = (0, 0)
    return twin
