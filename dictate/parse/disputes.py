"""What listeners do not agree on: each way to hear it is an arc, and what differs is asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from dictate.model import Choice, Disputed, Finding, Place, Question, Utterance, UtteranceKind
from dictate.parse.narration import Narration
from dictate.parse.state import State

#: Disputed stretches of one utterance that are read again; with more of them all is asked.
MOST = 8

Key = tuple[str, str | None, str | None, str]


def hear_checked(n: Narration, utterance: Utterance) -> UtteranceKind:
    """Take one utterance; a finding that hangs on a disputed stretch is asked about.

    Args:
        n: The narration; it goes on from here.
        utterance: What was heard, with what other listeners heard instead.
    """
    if not utterance.disputed:
        return n.hear(utterance)
    before = n.s
    kind = n.hear(utterance)
    mine = _new(before, n.s)
    doubtful: dict[Key, Disputed] = {}
    others: dict[Disputed, list[Finding]] = {}
    for dispute in utterance.disputed[:MOST]:
        text = utterance.text[: dispute.start] + dispute.instead + utterance.text[dispute.end :]
        twin = Narration(n.grammar, before)
        twin.hear(Utterance(utterance.id, " ".join(text.split())))
        theirs = _new(before, twin.s)
        for key in mine.keys() - theirs.keys():
            doubtful.setdefault(key, dispute)
        only = [theirs[key] for key in theirs.keys() - mine.keys()]
        if only:
            others[dispute] = [_placed(f, utterance, dispute) for f in only]
    if len(utterance.disputed) > MOST:
        doubtful = {key: doubtful.get(key, utterance.disputed[0]) for key in mine}
    _ask(n, utterance, mine, doubtful, others)
    return "finding" if doubtful or others else kind


def _new(before: State, after: State) -> dict[Key, Finding]:
    known = {_key(e.finding) for e in before.entries}
    return {_key(e.finding): e.finding for e in after.entries if _key(e.finding) not in known}


def _key(f: Finding) -> Key:
    return f.test, f.site, f.side, f.value


def _placed(finding: Finding, utterance: Utterance, dispute: Disputed) -> Finding:
    """A finding of another hearing stands on the disputed stretch of this one."""
    end = max(dispute.end, min(dispute.start + 1, len(utterance.text)))
    return replace(finding, said=(Place(utterance.id, dispute.start, end),))


def _ask(
    n: Narration, utterance: Utterance, mine: dict[Key, Finding], doubtful: dict[Key, Disputed],
    others: dict[Disputed, list[Finding]],
) -> None:  # fmt: skip
    disputes: Iterable[Disputed] = dict.fromkeys([*doubtful.values(), *others])
    for dispute in disputes:
        kept = [mine[key] for key, d in doubtful.items() if d == dispute]
        theirs = others.get(dispute, [])
        for finding in kept:
            for entry in [e for e in n.s.entries if _key(e.finding) == _key(finding)]:
                n.do("removed", id=entry.id)
                n.past("questioned", finding)
        said = utterance.text[dispute.start : dispute.end] or "nothing"
        about = kept[0].said if kept else theirs[0].said if theirs else ()
        choices = [Choice(said, tuple(kept))]
        if theirs:
            choices.append(Choice(dispute.instead or "nothing", tuple(theirs)))
        choices.append(Choice("none of these", ()))
        prompt = f"I am not sure of “{said}” in “{utterance.text}”. Is it right?"
        n.open(Question("", "heard", about, prompt, tuple(choices)))
