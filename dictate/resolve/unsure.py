"""Where two listeners do not agree: does it matter, and if so, a question.

An utterance is heard as its text stands, and once more for each disputed stretch with what the
other listener heard there instead, each time from the state before it. What comes out the same
either way stands; a finding that depends on the stretch leaves the record for a question with
both readings as its choices. So headings, corrections, exceptions and repetitions need no rules
of their own here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from dictate.grammar.wording import finding_phrase
from dictate.interpret.reader import Reading
from dictate.model import (
    Choice,
    Disputed,
    Finding,
    Place,
    Question,
    Utterance,
    UtteranceKind,
)
from dictate.recognise.page import TAUGHT
from dictate.resolve.corrections import remove
from dictate.resolve.fork import fork
from dictate.resolve.othertext import other_text, places_in, within
from dictate.resolve.places import place_at
from dictate.resolve.resolver import Resolver
from dictate.resolve.soundalikes import sound_alikes
from dictate.resolve.strange import Key, around, found_in, key_of, unclear, unexplained


@dataclass(slots=True)
class _Doubt:
    """Findings that stand or fall with what was heard in some stretches."""

    stretches: list[Disputed]
    mine: dict[Key, Finding]
    others: list[tuple[Disputed, dict[Key, Finding]]] = field(default_factory=list)


def hear_checked(resolver: Resolver, utterance: Utterance, meant: bool = False) -> UtteranceKind:
    """Take one utterance; what the listeners dispute, and a finding hangs on, is asked.

    Args:
        resolver: The narration so far.
        utterance: With what the other listener heard, if one was there.
        meant: The examiner says that it is a statement, which says nothing of its words.
    """
    if len(utterance.hearings) < 2:
        return resolver.hear(utterance, meant)
    utterance = within(utterance)
    before = fork(resolver)
    if utterance.disputed:
        # the first way to hear it is not weighed, so the others are not
        before.weigher = before.reteller = None
    kind = resolver.hear(utterance, meant)
    old = {id(entry.finding) for entry in before.entries}
    new = found_in(entry for entry in resolver.entries if id(entry.finding) not in old)
    doubts: list[_Doubt] = []
    reading = resolver.reader.read(utterance)
    for finding in _corrects_nothing(resolver, before, reading, new):
        whole = Disputed(0, len(utterance.text), "", TAUGHT)
        _gather(doubts, _Doubt([whole], {key_of(finding): finding}, [(whole, {})]))
    for stretch in unexplained(resolver.grammar, utterance, new.values()):
        _gather(doubts, _Doubt([stretch], around(new, utterance, stretch), [(stretch, {})]))
    for stretch in (*utterance.disputed, *sound_alikes(resolver.reader, reading)):
        doubt = _weigh(resolver, before, utterance, stretch, new, meant)
        if doubt is not None:
            _gather(doubts, doubt)
    for doubt in doubts:
        _ask(resolver, utterance, doubt)
    if not doubts and kind in ("remark", "by_patient") and unclear(resolver.grammar, utterance):
        _ask_again(resolver, utterance)
        return "finding"
    return "finding" if doubts else kind


def _corrects_nothing(
    resolver: Resolver, before: Resolver, reading: Reading, new: dict[Key, Finding]
) -> list[Finding]:
    """Findings of what is said as a correction ("no, jaw normal") and changes none that is there.

    Then the name may have been misheard of what was to be corrected ("no, tone normal").
    """
    first = next((st for sentence in reading.sentences for st in sentence.statements), None)
    if first is None or first.link != "replace" or len(resolver.history) > len(before.history):
        return []
    return list(new.values()) if before.entries else []


def _weigh(
    resolver: Resolver, before: Resolver, utterance: Utterance, stretch: Disputed,
    new: dict[Key, Finding], meant: bool,
) -> _Doubt | None:  # fmt: skip
    """What depends on one stretch, by hearing it the other way too."""
    other = fork(before)
    other.hear(other_text(utterance, stretch), meant)
    _forget_holds(
        resolver, other, ("side",) if stretch.kind == "talk" else ("side", "site", "test")
    )
    mine, theirs = found_in(resolver.entries), found_in(other.entries)
    only_mine = {key: mine[key] for key in mine.keys() - theirs.keys()}
    only_theirs = {key: theirs[key] for key in theirs.keys() - mine.keys()}
    if stretch.kind == "talk":
        only_theirs = {}
    elif stretch.kind == "other" and not only_theirs:
        only_mine = {}
    elif stretch.kind == "doubted" and stretch.start < stretch.end:
        only_mine = {**only_mine, **around(new, utterance, stretch)}
    if not only_mine and not only_theirs:
        return None
    return _Doubt([stretch], only_mine, [(stretch, only_theirs)])


def _forget_holds(resolver: Resolver, other: Resolver, names: Sequence[str]) -> None:
    """A heading that only one reading has holds for nothing: what needs it is asked."""
    for name in names:
        mine, theirs = getattr(resolver.holds, name), getattr(other.holds, name)
        if (mine.id if mine else None) != (theirs.id if theirs else None):
            setattr(resolver.holds, name, None)


def _gather(doubts: list[_Doubt], new: _Doubt) -> None:
    """Put what hangs on the same finding into one question."""
    for old in [doubt for doubt in doubts if doubt.mine.keys() & new.mine.keys()]:
        doubts.remove(old)
        new.stretches = [*old.stretches, *new.stretches]
        new.mine = {**old.mine, **new.mine}
        new.others = [*old.others, *new.others]
    doubts.append(new)


def _ask(resolver: Resolver, utterance: Utterance, doubt: _Doubt) -> None:
    for entry in [e for e in resolver.entries if key_of(e.finding) in doubt.mine]:
        remove(resolver, entry, "questioned")
    mine = list(doubt.mine.values())
    readings = [mine] if mine else []
    for stretch, found in doubt.others:
        there = [_moved(finding, utterance, stretch) for finding in found.values()]
        if there and set(map(key_of, there)) not in [set(map(key_of, r)) for r in readings]:
            readings.append(there)
    about = _about(utterance, doubt, readings[0])
    question = Question(
        "", "heard", (about,),
        _prompt(utterance, doubt, about, bool(mine)), _choices(resolver, readings),
    )  # fmt: skip
    resolver.open_question(question)


def _ask_again(resolver: Resolver, utterance: Utterance) -> None:
    """Nothing came of what was heard, and it may have been a statement."""
    whole = place_at(utterance, 0, len(utterance.text))
    question = Question(
        "", "heard", (whole,),
        f"I did not understand “{utterance.text}”. Was it a finding? Then say it again.",
        (Choice("no"),),
    )  # fmt: skip
    resolver.open_question(question)


def _moved(finding: Finding, utterance: Utterance, stretch: Disputed) -> Finding:
    """A finding of the other reading, its places counted in the utterance's own text."""
    return replace(finding, said=places_in(utterance, stretch, finding.said))


def _about(utterance: Utterance, doubt: _Doubt, findings: Sequence[Finding]) -> Place:
    """From the first to the last word that the question is about; all where it has none."""
    spots = [(p.start, p.end) for f in findings for p in f.said if p.utterance == utterance.id]
    spots += [(stretch.start, stretch.end) for stretch in doubt.stretches]
    start, end = min(a for a, _ in spots), max(b for _, b in spots)
    return place_at(utterance, *((start, end) if start < end else (0, len(utterance.text))))


def _prompt(utterance: Utterance, doubt: _Doubt, about: Place, mine: bool) -> str:
    said = utterance.text[about.start : about.end]
    others = [stretch for stretch, found in doubt.others if found]
    if not others and all(stretch.kind == "far" for stretch in doubt.stretches):
        return f"“{said}” was spoken far from the microphone. Is it your finding?"
    if not others:
        return f"I may have misheard “{said}”. Is that right?"
    texts = [said] if mine else []
    for stretch in others:
        before = utterance.text[about.start : stretch.start]
        after = utterance.text[stretch.end : about.end]
        texts.append(" ".join(f"{before} {stretch.instead} {after}".split()))
    quoted = [f"“{text}”" for text in dict.fromkeys(texts)]
    if len(quoted) == 1:
        return f"Did you say {quoted[0]}?"
    return f"Did you say {', '.join(quoted[:-1])} or {quoted[-1]}?"


def _choices(resolver: Resolver, readings: Sequence[Sequence[Finding]]) -> tuple[Choice, ...]:
    if len(readings) == 1:
        return (Choice("yes", tuple(readings[0])), Choice("no"))
    named = [
        Choice("; ".join(finding_phrase(resolver.grammar, f) for f in reading), tuple(reading))
        for reading in readings
    ]
    return (*named, Choice("neither"))
