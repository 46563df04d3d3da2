"""How an answer becomes findings: by number, a choice's words, or in words of one's own."""

from __future__ import annotations

from dataclasses import replace

from dictate.errors import UsageError
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.model import Change, Choice, Finding, Utterance
from dictate.resolve.context import Pending
from dictate.resolve.fit import fit
from dictate.resolve.questions import NONE
from dictate.resolve.resolver import Resolver


def answer(resolver: Resolver, question: str, words: str) -> None:
    """Settle an open question.

    Args:
        resolver: The narration.
        question: The question's id.
        words: A choice's number (from 1), its label, or words; "skip" leaves it open.

    Raises:
        UsageError: No such question is open, or the words are no answer to it.
    """
    pending = next((p for p in resolver.pending if p.question.id == question), None)
    if pending is None:
        raise UsageError(f"No question {question} is open.")
    words = words.strip().casefold()
    if not words or words in resolver.grammar.speech.skip:
        resolver.history.append(Change("skipped", question, question=pending.question))
        return
    choice = _choice(resolver, pending, words)
    none = choice is not None and choice.label == NONE
    if choice is not None and (choice.findings or none or pending.question.kind == "heard"):
        _settle(resolver, pending, choice.findings)
        return
    if not _in_words(resolver, pending, words):
        labels = ", ".join(c.label for c in pending.question.choices) or "your own words, or skip"
        raise UsageError(f"“{words}” does not answer that. Say one of: {labels}.")


def _choice(resolver: Resolver, pending: Pending, words: str) -> Choice | None:
    choices = pending.question.choices
    graded = pending.question.kind == "conflict" and any(c.label[:1].isdigit() for c in choices)
    if graded:
        return _by_value(resolver, choices, words)
    if words.isdigit() and pending.question.kind not in {"value", "scale"}:
        number = int(words)
        return choices[number - 1] if 1 <= number <= len(choices) else None
    same = [c for c in choices if c.label.casefold() == words]
    near = [c for c in choices if words and words in c.label.casefold().split()]
    found = same or near
    return found[0] if len(found) == 1 else None


def _by_value(resolver: Resolver, choices: tuple[Choice, ...], words: str) -> Choice | None:
    """ "Two plus" or "four out of five" to "2+ or 4?": the choice of that grade, if it is one."""
    said = resolver.reader.read(Utterance("answer", words))
    values = [
        value
        for sentence in said.sentences
        for piece in sentence.statements
        for value in piece.values
    ]
    found = [
        choice
        for choice in choices
        for finding in choice.findings[:1]
        if choice.label.casefold() == words
        or any(_is_value(resolver, finding, value) for value in values)
    ]
    return found[0] if len(found) == 1 else None


def _at_sites(st: Statement, said: list[Target]) -> list[Target]:
    """What was asked about, at the sites of the answer."""
    if len(st.targets) != 1 or any((t.tests or t.signs) and not t.sites for t in said):
        return [replace(t, spans=[]) for t in said]
    old = st.targets[0]
    return [
        replace(old, sites=t.sites, side=t.side or old.side, placed=True, dual=False)
        for t in said
        if t.sites
    ]


def _is_value(resolver: Resolver, finding: Finding, said: Said) -> bool:
    meant = fit(resolver.grammar, finding.test, said)
    return meant is not None and meant.misfit is None and meant.value == finding.value


def _settle(resolver: Resolver, pending: Pending, findings: tuple[Finding, ...]) -> None:
    resolver.pending.remove(pending)
    resolver.history.append(Change("answered", pending.question.id, question=pending.question))
    reading = pending.reading
    for finding in findings:
        resolver.add(reading, finding, frozenset(), "start", [])  # type: ignore[arg-type]


def _in_words(resolver: Resolver, pending: Pending, words: str) -> bool:
    """Read the answer as the examiner's own words, in the place of what was missing."""
    st: Statement | None = pending.statement
    reading: Reading | None = pending.reading  # type: ignore[assignment]
    if st is None or reading is None:
        return False
    said = resolver.reader.read(Utterance("answer", words))
    pieces = [piece for sentence in said.sentences for piece in sentence.statements]
    row = [item for sentence in said.sentences for item in sentence.row]
    given = dict(pending.overrides)
    for item in row:
        if item.kind == "side" and item.of_kind("side")[0].id in {"right", "left", "both"}:
            given["side"] = item.of_kind("side")[0].id
        for term in item.readings:
            if term.kind in {"test", "after_site"} and pending.question.kind == "test":
                given.setdefault("test", term.test)
            if term.kind == "site" and pending.question.kind == "site":
                given.setdefault("site", term.id)
    merged = replace(st, doubts=[])
    values = [value for piece in pieces for value in piece.values]
    if pending.question.kind in {"value", "scale", "heard"} and values:
        merged.values = [replace(value, spans=[]) for value in values]
        given.pop("value", None)
    elif pending.question.kind == "site" and any(piece.targets for piece in pieces):
        merged.targets = _at_sites(st, [t for piece in pieces for t in piece.targets])
        given.pop("site", None)
        if any(target.side for target in merged.targets):
            given.pop("side", None)  # each site of the answer has its own
    elif given == pending.overrides:
        return False
    draft = resolver.drafter.draft(reading, merged, pending.holds, given)
    if not draft.findings and (draft.ask is None or draft.ask[0] == pending.question.kind):
        return False
    resolver.pending.remove(pending)
    resolver.history.append(Change("answered", pending.question.id, question=pending.question))
    for finding, labels in zip(draft.findings, draft.labels, strict=True):
        resolver.add(reading, finding, labels, "start", [])
    if draft.ask is not None:
        resolver.ask(reading, merged, draft, draft.ask, given)
    return True
