"""What one utterance leaves open in the same way is put as one question.

"Supraspinatus zero, infraspinatus zero, deltoid zero" lacks one side, not three. Each statement
keeps a question of its own underneath, so that a correction reaches it alone; what is shown, and
what an answer settles, is the group.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.grammar.names import capital
from dictate.model import Choice, Finding, Question
from dictate.resolve.context import Entry, Pending
from dictate.resolve.questions import NONE, wording

#: What is asked of several statements at once: what their words lack, and not what was found.
_SHARED = frozenset({"side", "test"})
#: A prompt that is read aloud names no more than this.
_NAMED = 4


def groups(pending: Sequence[Pending], entries: Sequence[Entry]) -> list[list[Pending]]:
    """The open questions, those that follow each other and ask the same together, in their order.

    What was found between two of them parts them: "deltoid four, biceps four on the left, grip
    five" lacks two sides.

    Args:
        pending: All that is open.
        entries: All that was found.
    """
    found: list[list[Pending]] = []
    stated = sorted({entry.statement for entry in entries})
    for one in pending:
        last = found[-1][-1] if found else None
        if last is not None and _alike(last, one) and not _any_between(stated, last, one):
            found[-1].append(one)
        else:
            found.append([one])
    return found


def _alike(one: Pending, other: Pending) -> bool:
    first, second = one.question, other.question
    shared = first.kind == second.kind and first.kind in _SHARED and bool(first.choices)
    if not shared or one.utterance != other.utterance or not (one.statement and other.statement):
        return False
    labels = [[choice.label for choice in question.choices] for question in (first, second)]
    offered = all(c.findings for c in (*first.choices, *second.choices) if c.label != NONE)
    return offered and labels[0] == labels[1]


def _any_between(stated: Sequence[int], one: Pending, other: Pending) -> bool:
    return bisect_right(stated, one.number) != bisect_left(stated, other.number)


def together(grammar: Grammar, group: Sequence[Pending]) -> Question:
    """One question for a group; it has the id of the first.

    Args:
        grammar: Where the names come from.
        group: At least one.
    """
    first = group[0].question
    if len(group) == 1:
        return first
    asked = [one.question for one in group]
    about = tuple(dict.fromkeys(place for question in asked for place in question.about))
    choices = tuple(
        Choice(same[0].label, tuple(f for choice in same for f in choice.findings))
        for same in zip(*(question.choices for question in asked), strict=True)
    )
    return replace(first, about=about, prompt=_prompt(grammar, asked), choices=choices)


def _prompt(grammar: Grammar, asked: Sequence[Question]) -> str:
    _, tail = asked[0].prompt.rsplit(":", 1)
    firsts = [question.choices[0].findings[0] for question in asked]
    names = _names(grammar, firsts)
    if asked[0].kind == "test":
        names = [question.prompt.rsplit(":", 1)[0] for question in asked]
    shown = list(dict.fromkeys(names))
    more = len(shown) - _NAMED
    if more > 1:
        shown = [*shown[:_NAMED], f"{more} more"]
    last = shown.pop()
    return f"{capital(', '.join(shown))} and {last}:{tail}" if shown else f"{capital(last)}:{tail}"


def _names(grammar: Grammar, findings: Sequence[Finding]) -> list[str]:
    """What they are of, the name of a test that they share said once, with the last."""
    tests = {finding.test for finding in findings}
    whole = [wording(grammar, finding.test, finding.site) for finding in findings]
    name = f" {grammar.tests[findings[0].test].name}"
    if len(tests) > 1 or not all(one.endswith(name) for one in whole):
        return whole
    return [*(one.removesuffix(name) for one in whole[:-1]), whole[-1]]
