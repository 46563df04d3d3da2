"""How an answer becomes findings: by a choice's words or mark, or in words of one's own."""

from __future__ import annotations

from dataclasses import replace

from dictate.errors import UsageError
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.model import Change, Choice, Finding, Utterance
from dictate.resolve import questions
from dictate.resolve.alike import groups
from dictate.resolve.answering import answer_in
from dictate.resolve.context import Holds, Pending
from dictate.resolve.fit import fit
from dictate.resolve.helping import may_be_answered
from dictate.resolve.menu import marked, marks
from dictate.resolve.plain_answers import (
    OFFERS,
    NotDone,
    agreeing,
    not_done_in,
    parts_in,
    plain_meaning,
)
from dictate.resolve.resolver import Resolver
from dictate.resolve.says_more import clear, names_other, says_otherwise


def answer(resolver: Resolver, question: str, words: str) -> None:
    """Settle an open question.

    Args:
        resolver: The narration.
        question: The question's id.
        words: A choice's label or mark (``menu.marks``), or words; nothing, "skip" and "not sure"
            leave it open. A number is a value and never the place of a choice.

    Raises:
        UsageError: No such question is open, or the words are no answer to it; of "?" and its
            like, what may be answered.
    """
    group = next(
        (g for g in groups(resolver.pending, resolver.entries) if g[0].question.id == question),
        None,
    )
    if group is None:
        raise UsageError(f"No question {question} is open.")
    for pending in group:
        _answer(resolver, pending, words)


def _answer(resolver: Resolver, pending: Pending, words: str) -> None:
    """Settle one of the statements that the question is about."""
    question = pending.question.id
    given, words = words.strip(), words.strip().casefold()
    meaning = plain_meaning(words, resolver.grammar)
    if not words or meaning == "open" or words in resolver.grammar.speech.skip:
        resolver.history.append(Change("skipped", question, question=pending.question))
        return
    if meaning == "help":
        raise UsageError(may_be_answered(pending.question, resolver.grammar))
    if _by_choice(resolver, pending, words):
        return
    if meaning == "neither" and _neither(resolver, pending):
        return
    if _not_done(resolver, pending, words) or _by_parts(resolver, pending, given):
        return
    heard = answer_in(
        Utterance("answer", words), pending.question, resolver.reader, resolver.grammar
    )
    if heard not in (None, words) and _by_choice(resolver, pending, str(heard)):
        return
    if not _in_words(resolver, pending, words):
        named = zip(
            marks(pending.question, resolver.grammar), pending.question.choices, strict=True
        )
        shown = [f"{mark} ({c.label})" if mark else c.label for mark, c in named]
        labels = ", ".join(shown) or "your own words, or skip"
        raise UsageError(f"“{words}” does not answer that. Say one of: {labels}.")


def _by_choice(resolver: Resolver, pending: Pending, words: str) -> bool:
    choice = _choice(resolver, pending, words)
    none = choice is not None and choice.label == questions.NONE
    if none and pending.question.kind in OFFERS:
        return _neither(resolver, pending)
    if choice is None or not (choice.findings or none or pending.question.kind == "heard"):
        return False
    _settle(resolver, pending, choice.findings)
    return True


def _neither(resolver: Resolver, pending: Pending) -> bool:
    """None of what was offered holds. Of two values neither: then what was found is asked."""
    question = pending.question
    if question.kind not in OFFERS:
        return False
    _settle(resolver, pending, ())
    offered = [choice.findings[0] for choice in question.choices if choice.findings]
    if question.kind == "conflict" and offered:
        reading: Reading | None = pending.reading  # type: ignore[assignment]
        resolver.open_question(
            questions.again(resolver.grammar, offered[0], question.about), reading
        )
    return True


def _not_done(resolver: Resolver, pending: Pending, words: str) -> bool:
    """ "Not tested", "could not get it": of the test and the site that were asked about."""
    done = not_done_in(words, resolver.reader)
    if done is None:
        return False
    findings = tuple(
        replace(finding, detail=done.reasons) for finding in _not_done_of(resolver, pending, done)
    )
    if findings:
        _settle(resolver, pending, findings)
    return bool(findings)


def _not_done_of(resolver: Resolver, pending: Pending, done: NotDone) -> list[Finding]:
    offered = [choice.findings for choice in pending.question.choices if choice.findings]
    targets = {(f.test, f.site) for findings in offered for f in findings}
    if len(targets) == 1:
        sides = [{f.side for f in findings} for findings in offered]
        # where the choices are sides, none of them was said
        alike = sides[0] if all(one == sides[0] for one in sides) else {None}
        first = offered[0][0]
        return [
            replace(first, side=side, value=done.value, normal=None, said=pending.question.about)
            for side in sorted(alike, key=str, reverse=True)
        ]
    st, reading = pending.statement, pending.reading
    if offered or st is None or reading is None:
        return []
    merged = replace(
        st, values=[], not_done=done.value, doubts=[], denied=False, hesitant=False,
        unclear=False, details=[], labels=[], parts=[], reasons=[], compared=[],
    )  # fmt: skip
    draft = resolver.drafter.draft(reading, merged, pending.holds, pending.overrides)  # type: ignore[arg-type]
    return [] if draft.ask is not None else draft.findings


def _by_parts(resolver: Resolver, pending: Pending, words: str) -> bool:
    """A total that is told by its parts."""
    st = pending.statement
    named = {r.test for target in st.targets for r in target.tests} if st is not None else set()
    tests = frozenset(test for test in named if test)
    found = parts_in(words, pending.question, resolver.reader, tests)
    if found is None:
        return False
    draft = resolver.drafter.draft(*found, Holds())
    if draft.ask is not None or len(draft.findings) != 1:
        return False
    _settle(resolver, pending, (replace(draft.findings[0], said=pending.question.about),))
    return True


def _choice(resolver: Resolver, pending: Pending, words: str) -> Choice | None:
    choices = pending.question.choices
    graded = pending.question.kind == "conflict" and any(c.label[:1].isdigit() for c in choices)
    if graded and marked(pending.question, resolver.grammar, words) is None:
        return _by_value(resolver, choices, words)
    choice = marked(pending.question, resolver.grammar, words)
    if choice is not None:
        return choice
    same = [c for c in choices if c.label.casefold() == words]
    # a number inside a label ("right 5, left 4") is not what the label says
    word = not any(map(str.isdigit, words))
    near = [c for c in choices if word and words in c.label.casefold().split()]
    found = same or near
    return found[0] if len(found) == 1 else None


def _by_value(resolver: Resolver, choices: tuple[Choice, ...], words: str) -> Choice | None:
    """ "Two plus" or "four out of five" to "2+ or 4?": the choice of that grade, if it is one."""
    said = resolver.reader.read(Utterance("answer", words))
    pieces = [piece for sentence in said.sentences for piece in sentence.statements]
    values = [value for piece in pieces for value in piece.values]
    offered = [finding for choice in choices for finding in choice.findings]
    if not clear(said, "conflict") or names_other(pieces, offered):
        values = []
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
    if resolver.second is not None:
        resolver.second.tell(findings)
    for finding in findings:
        finding = agreeing(resolver.grammar, finding)
        resolver.add(reading, finding, frozenset(), "start", [])  # type: ignore[arg-type]


def _in_words(resolver: Resolver, pending: Pending, words: str) -> bool:
    """Read the answer as the examiner's own words, in the place of what was missing."""
    st: Statement | None = pending.statement
    reading: Reading | None = pending.reading  # type: ignore[assignment]
    if st is None or reading is None:
        return False
    said = resolver.reader.read(Utterance("answer", words))
    if not clear(said, pending.question.kind):
        return False
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
    if not draft.findings and (
        draft.ask is None or draft.ask[0] in {pending.question.kind, "scale"}
    ):
        return False
    if says_otherwise(resolver.grammar, st, pieces, row, draft):
        return False
    resolver.pending.remove(pending)
    resolver.history.append(Change("answered", pending.question.id, question=pending.question))
    for finding, labels in zip(draft.findings, draft.labels, strict=True):
        resolver.add(reading, finding, labels, "start", [])
    if draft.ask is not None:
        resolver.ask(reading, merged, draft, draft.ask, given)
    return True
