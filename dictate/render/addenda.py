"""What came after a signature, as parts of the note: one for each addendum."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.grammar import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.model import Addendum, Finding, Record, Utterance
from dictate.render.parts import Part
from dictate.render.standing import DRAFT, one_line, when
from dictate.render.unchecked import marked


def write_addenda(record: Record, grammar: Grammar) -> list[Part]:
    """A part for each addendum: what it changed, and whether it is signed.

    Args:
        record: One that is signed has addenda.
        grammar: Where the words come from.
    """
    addenda = record.examined.addenda if record.examined else ()
    return [
        Part(_heading(addendum, number), items=tuple(_lines(addendum, grammar)))
        for number, addendum in enumerate(addenda, 1)
    ]


def _heading(addendum: Addendum, number: int) -> str:
    signature = addendum.signature
    if signature is None or not signature.holds:
        state = f"{DRAFT[:1].lower()}{DRAFT[1:]}"
        changed = "" if signature is None else "; it was signed, and has been changed since"
        return f"Addendum {number}, {when(addendum.at)} ({state}{changed})"
    by = f"signed by {one_line(signature.by)}, {when(signature.at)}"
    return f"Addendum {number} ({by})"


def _lines(addendum: Addendum, grammar: Grammar) -> Iterator[str]:
    def words(finding: Finding) -> str:
        return marked(finding_phrase(grammar, finding), finding.checked is False)

    gone = list(addendum.removed)
    cited: set[str] = set()
    for finding in addendum.added:
        cited |= {place.utterance for place in finding.said}
        old = next((one for one in gone if _place(one) == _place(finding)), None)
        if old is None:
            yield f"Added: {words(finding)}."
            continue
        gone.remove(old)
        if words(old) == words(finding):
            yield f"Said again: {words(finding)}."
        else:
            yield f"Changed: {words(finding)}; it was signed as: {words(old)}."
    for finding in gone:
        yield f"Taken out: {words(finding)}."
    for question in addendum.asked:
        yield f"To be settled: {one_line(question.prompt)}"
    for question in addendum.settled:
        yield f"No longer open: {one_line(question.prompt)}"
    for utterance in addendum.utterances:
        if utterance.id not in cited and utterance.text.strip():
            yield f'{_how(utterance)}: "{one_line(utterance.text)}"'


def _place(finding: Finding) -> tuple[str, str | None, str | None]:
    return (finding.test, finding.site, finding.side)


def _how(utterance: Utterance) -> str:
    if utterance.hand == "added":
        return "Entered by hand"
    return "Words put right by hand" if utterance.hand == "corrected" else "Said"
