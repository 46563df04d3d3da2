"""How an answer becomes findings: by number, a choice's words, or in words of one's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.errors import UsageError
from dictate.interpret.statement import Said
from dictate.model import Choice, Finding, Utterance
from dictate.parse.entering import enter
from dictate.parse.state import Open
from dictate.resolve.fit import fit

if TYPE_CHECKING:
    from dictate.parse.working import Working


def answer(n: Working, question: str, words: str) -> None:
    """Settle an open question.

    Raises:
        UsageError: No such question is open, or the words are no answer to it.
    """
    one = next((o for o in n.s.open if o.question.id == question), None)
    if one is None:
        raise UsageError(f"No question {question} is open.")
    words = words.strip().casefold()
    if not words or words in n.grammar.speech.skip:
        n.past("skipped", question=one.question)
        return
    choice = _choice(n, one, words)
    if choice is not None and (choice.findings or one.question.kind == "heard"):
        _settle(n, one, choice.findings)
        return
    if not _in_words(n, one, words):
        labels = ", ".join(c.label for c in one.question.choices) or "your own words, or skip"
        raise UsageError(f"“{words}” does not answer that. Say one of: {labels}.")


def _values(n: Working, words: str) -> list[Said]:
    lattice = n.lattices.read(Utterance("answer", words))
    return [Said(grade=i.grade, readings=i.readings) for i in lattice.items if "VALUE" in i.roles]


def _choice(n: Working, one: Open, words: str) -> Choice | None:
    choices = one.question.choices
    if one.question.kind == "conflict" and any(c.label[:1].isdigit() for c in choices):
        said = _values(n, words)
        found = [
            c for c in choices for f in c.findings[:1]
            if c.label.casefold() == words or any(_is(n, f, value) for value in said)
        ]  # fmt: skip
        return found[0] if len(found) == 1 else None
    if words.isdigit() and one.question.kind not in ("value", "scale"):
        number = int(words)
        return choices[number - 1] if 1 <= number <= len(choices) else None
    same = [c for c in choices if c.label.casefold() == words]
    near = [c for c in choices if words in c.label.casefold().split()]
    found = same or near
    return found[0] if len(found) == 1 else None


def _is(n: Working, finding: Finding, said: Said) -> bool:
    meant = fit(n.grammar, finding.test, said)
    return meant is not None and meant.misfit is None and meant.value == finding.value


def _settle(n: Working, one: Open, findings: tuple[Finding, ...]) -> None:
    n.do("closed", id=one.question.id)
    n.past("answered", question=one.question)
    for finding in findings:
        enter(n, finding, frozenset(), "start")


def _in_words(n: Working, one: Open, words: str) -> bool:
    """Read the answer as the examiner's own words, in the place of what was missing."""
    if one.claim is None or one.lattice is None:
        return False
    lattice = n.lattices.read(Utterance("answer", words))
    given = dict(one.given)
    merged = one.claim.copy()
    merged.doubts = ()
    changed = False
    claims = n.chart.parses([i for i in lattice.items if i.roles[0] != "STOP"])[0].chain()
    values = tuple(v for c in claims for v in c.values)
    kind = one.question.kind
    for claim in claims:
        side = (
            claim.side
            or claim.pside
            or next((x.side for x in (*claim.names, *claim.places) if x.side), None)
        )
        if side in ("right", "left", "both"):
            given["side"] = side
            changed = True
        for name in (*claim.names, *claim.places):
            if name.tests and kind == "test":
                given["test"] = n.types.names(name.tests)[0]
                changed = True
            if name.sites and kind == "site":
                given["site"] = name.sites[0].id
                changed = True
                if name.both and not name.side:
                    given.setdefault("side", "both")
    if kind in ("value", "scale", "heard") and values:
        bare = []
        for v in values:
            twin = v.copy()
            twin.span = (0, 0)
            bare.append(twin)
        merged.values = tuple(bare)
        merged.mode = "NV"
        given.pop("value", None)
        changed = True
    if not changed:
        return False
    draft, _ = n.meaning.draft(one.lattice, merged, one.holds, one.before, given)
    if not draft.findings and (draft.ask is None or draft.ask[0] == kind):
        return False
    n.do("closed", id=one.question.id)
    n.past("answered", question=one.question)
    for finding in draft.findings:
        enter(n, finding, frozenset(), "start")
    if draft.ask is not None:
        n.ask(one.lattice, merged, draft, draft.ask, list(one.before), given)
    return True
