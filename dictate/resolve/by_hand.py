"""What people decide by hand: which finding or question it is about, and what it does to it.

A decision is about words, a test, a site and a side, not about a number in a list: so it is found
again in a record that was read anew. Where its words are gone, it is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from dictate.model import Change, Choice, Finding, Place, Question, Utterance
from dictate.resolve.context import Entry, Holds, Pending
from dictate.resolve.entering import enter
from dictate.resolve.resolver import Resolver
from dictate.resolve.unsure import hear_checked

#: Statements made by hand are numbered from here on, below every spoken one, so that a spoken
#: correction ("no, make that three") is never of what somebody typed meanwhile.
_BY_HAND = -1_000_000
#: More statements than one typed addition can hold.
_APART = 1_000
#: Stretches of sound whose ends lie within so many seconds may be the same words.
SAME_S = 0.75


@dataclass(frozen=True, slots=True)
class Cited:
    """Words that something was taken from, and when they were spoken (None: typed)."""

    text: str
    start_s: float | None = None
    end_s: float | None = None


def cited(places: Iterable[Place], utterances: Sequence[Utterance]) -> tuple[Cited, ...]:
    """The words at some places.

    Args:
        places: Where.
        utterances: What was heard and typed.
    """
    texts = {utterance.id: utterance.text for utterance in utterances}
    return tuple(
        Cited(texts.get(p.utterance, "")[p.start : p.end], p.start_s, p.end_s) for p in places
    )


def find_entry(resolver: Resolver, finding: Finding, words: Sequence[Cited]) -> Entry | None:
    """The finding in the record that a decision was about.

    Args:
        resolver: The narration so far.
        finding: As it was when it was decided on.
        words: What it was taken from.

    Returns:
        It, or None where its words say something else now or are gone.
    """
    alike = [
        entry
        for entry in resolver.entries
        if _target(entry.finding) == _target(finding) and entry.finding.value == finding.value
        and _has_all(cited(entry.finding.said, resolver.utterances), words)
    ]  # fmt: skip
    exact = [entry for entry in alike if entry.finding.detail == finding.detail]
    found = exact or alike
    return found[0] if found else None


def find_question(
    resolver: Resolver, question: Question, words: Sequence[Cited], numbered: bool
) -> Question | None:
    """The open question that an answer was for, whatever its number is now.

    Args:
        resolver: The narration so far.
        question: As it was put.
        words: What it was about.
        numbered: Utterances have the numbers that they had then.

    Returns:
        It, or None where there is none, or more than one and nothing tells which.
    """
    there = {place.utterance for place in question.about}
    alike = [
        now
        for now in resolver.record().questions
        if now.kind == question.kind
        and _has_all(cited(now.about, resolver.utterances), words)
        and (not numbered or {place.utterance for place in now.about} == there)
        and bool(_offers(now) & _offers(question) or not (_offers(now) or _offers(question)))
    ]
    if len(alike) > 1 and numbered:  # of one utterance: in the order in which they were asked
        alike = [now for now in alike if now.prompt == question.prompt]
    return alike[0] if len(alike) == 1 else None


def _has_all(there: Sequence[Cited], wanted: Sequence[Cited]) -> bool:
    return all(any(_same(one, other) for other in there) for one in wanted)


def _same(one: Cited, other: Cited) -> bool:
    if one.text.casefold() != other.text.casefold():
        return False
    if one.start_s is None or other.start_s is None:
        return one.start_s is other.start_s
    return abs(one.start_s - other.start_s) <= SAME_S


def _target(finding: Finding) -> tuple[str, str | None, str | None]:
    return finding.test, finding.site, finding.side


def _offers(question: Question) -> set[tuple[str, str | None, str | None]]:
    return {_target(finding) for choice in question.choices for finding in choice.findings}


# ---- what is done


def list_apart(resolver: Resolver, utterance: Utterance) -> None:
    """List an utterance that is not read; it holds for nothing that follows."""
    resolver.utterances.append(replace(utterance, readings=()))


def hear_apart(resolver: Resolver, utterance: Utterance) -> None:
    """Read an addition that was typed, on its own: nothing spoken before gives it a side or a
    site, and it gives none to what is spoken after."""
    holds, run, waiting = resolver.holds, resolver.run, resolver.waiting
    kept = (resolver.named_last, resolver.nerves, resolver.replying, resolver.filled)
    spoken, resolver.statement = resolver.statement, _number(resolver)
    resolver.holds, resolver.run, resolver.waiting, resolver.named_last = Holds(), [], None, None
    found, resolver.last_taken = resolver.last_taken, []
    before, resolver.named_before = resolver.named_before, None
    resolver.nerves, resolver.replying = None, False
    second, old = resolver.second, _findings(resolver)
    resolver.second = second.anew() if second is not None else None
    try:
        hear_meant(resolver, utterance)
    finally:
        resolver.second = second
        _tell(resolver, old)
        resolver.statement = spoken
        there = {id(entry) for entry in resolver.entries}
        resolver.holds, resolver.waiting = holds, waiting if waiting in resolver.pending else None
        resolver.run = [entry for entry in run if id(entry) in there]
        resolver.last_taken, resolver.named_before = found, before
        resolver.named_last, resolver.nerves, resolver.replying, resolver.filled = kept


def _findings(resolver: Resolver) -> set[Finding]:
    return {entry.finding for entry in resolver.entries}


def _tell(resolver: Resolver, old: set[Finding]) -> None:
    """What came by hand holds for the second reader as well."""
    if resolver.second is not None:
        resolver.second.tell([e.finding for e in resolver.entries if e.finding not in old])


def _number(resolver: Resolver) -> int:
    """The number of a statement that is made by hand now."""
    return _BY_HAND + _APART * len(resolver.utterances)


def hear_meant(resolver: Resolver, utterance: Utterance) -> None:
    """Read an utterance of which the examiner says that it is a statement of the examination."""
    entries, asked = len(resolver.entries), len(resolver.pending)
    history = len(resolver.history)
    hear_checked(resolver, utterance, meant=True)
    idle = (entries, asked, history) == (
        len(resolver.entries), len(resolver.pending), len(resolver.history),
    )  # fmt: skip
    kind = resolver.utterances[-1].kind
    if idle and kind != "command" and not _says_again(resolver, utterance):
        about = (Place(utterance.id, 0, len(utterance.text), utterance.start, utterance.end),)
        resolver.open_question(
            Question(
                "",
                "heard",
                about,
                f"I did not understand “{utterance.text}”. Say or type it in other words, or "
                "answer no.",
                (Choice("no"),),
            )
        )
    if kind != "command":
        resolver.utterances[-1] = replace(resolver.utterances[-1], kind="finding")


def _says_again(resolver: Resolver, utterance: Utterance) -> bool:
    return any(
        place.utterance == utterance.id for e in resolver.entries for place in e.finding.said
    )


def put(resolver: Resolver, finding: Finding, utterance: Utterance) -> None:
    """Add a finding; beside another value of the same it is asked which holds."""
    spoken, resolver.statement = resolver.statement, _number(resolver)
    list_apart(resolver, replace(utterance, kind="finding"))
    run, old = list(resolver.run), _findings(resolver)
    enter(resolver, finding, frozenset(finding.detail), "start", [])
    _tell(resolver, old)
    there = {id(entry) for entry in resolver.entries}
    resolver.run = [entry for entry in run if id(entry) in there]
    resolver.statement = spoken


def change(resolver: Resolver, entry: Entry, finding: Finding, utterance: Utterance) -> None:
    """Put another finding in the place of one; the old one stays in the history.

    The new one cites what the old one does, and the utterance.
    Another finding of the same test, site and side that was there already and says the same is
    not there twice; one that says something else is asked about.
    """
    list_apart(resolver, replace(utterance, kind="finding"))
    resolver.history.append(Change("corrected", utterance.id, entry.finding))
    whole = Place(utterance.id, 0, len(utterance.text), utterance.start, utterance.end)
    finding = replace(finding, said=entry.also_said((whole,)))
    if _target(entry.finding) == _target(finding):
        old = _findings(resolver)
        entry.finding = finding
        _tell(resolver, old)
        entry.labels = frozenset(finding.detail) if entry.labels else entry.labels
        return
    resolver.entries.remove(entry)
    resolver.run = [e for e in resolver.run if e is not entry]
    spoken, resolver.statement = resolver.statement, _number(resolver)
    run, old = list(resolver.run), _findings(resolver)
    enter(resolver, finding, frozenset(), "start", [])
    _tell(resolver, old)
    there = {id(e) for e in resolver.entries}
    resolver.run = [e for e in run if id(e) in there]
    resolver.statement = spoken


def take_out(resolver: Resolver, entry: Entry, utterance: Utterance) -> None:
    """Take a finding out; it stays in the history."""
    list_apart(resolver, replace(utterance, kind="command"))
    resolver.entries.remove(entry)
    resolver.run = [e for e in resolver.run if e is not entry]
    resolver.history.append(Change("taken_back", utterance.id, entry.finding))


def cite(resolver: Resolver, before: Iterable[Finding], utterance: Utterance) -> None:
    """Let what an answer brought cite the answer too, so that its value can be traced."""
    old = set(before)
    whole = Place(utterance.id, 0, len(utterance.text), utterance.start, utterance.end)
    for entry in resolver.entries:
        if entry.finding not in old:
            entry.finding = replace(entry.finding, said=entry.also_said((whole,)))


def ask_about(resolver: Resolver, question: Question) -> None:
    """Open a question with an id of its own, about a decision whose words are gone."""
    resolver.pending.append(
        Pending(
            question,
            None,
            None,
            Holds(),
            number=resolver.statement,
            utterance=len(resolver.utterances),
        )
    )


def withdraw(resolver: Resolver, finding: Finding) -> list[Finding]:
    """Take out what stands for the same test, site and side, until a question is answered."""
    found = [e for e in resolver.entries if _target(e.finding) == _target(finding)]
    for entry in found:
        resolver.entries.remove(entry)
        resolver.run = [e for e in resolver.run if e is not entry]
        resolver.history.append(Change("questioned", resolver.hearing, entry.finding))
    return [entry.finding for entry in found]
