"""Answers that any question takes: left open, none of it, not done, and the parts of a total."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reader, Reading
from dictate.interpret.statement import Statement
from dictate.interpret.whole import Folded, around, folded, whole_match
from dictate.model import Finding, Question, Utterance
from dictate.resolve.places import bare
from dictate.resolve.questions import NONE

#: Left open; none of what was offered; what may be said?
Meaning = Literal["open", "neither", "help"]
#: Kinds of questions that offer something of which none may hold.
OFFERS = ("heard", "conflict", "side", "test", "referent")
_DIGIT_THEN_LETTER = re.compile(r"(\d)(?=[A-Za-z])")


@dataclass(frozen=True, slots=True)
class NotDone:
    """A part that was not done: the value that says so, and the reasons that were given."""

    value: str
    reasons: tuple[str, ...]


def plain_meaning(text: str, grammar: Grammar) -> Meaning | None:
    """What words mean as an answer to any question, whatever was asked.

    Args:
        text: The whole of what was said or typed.
        grammar: Whose wordings count.
    """
    if text.strip() in grammar.requests.answers.help:
        return "help"  # a sign alone has no words to fold
    found = whole_match(text, _wordings(grammar), around(grammar))
    return found if found in ("open", "neither", "help") else None  # type: ignore[return-value]


def not_done_in(text: str, reader: Reader) -> NotDone | None:
    """ "Not tested", "could not be tested because of the cast": an answer that says no more.

    Args:
        text: The whole of what was said or typed.
        reader: Reads it.
    """
    said = reader.read(Utterance("answer", text))
    pieces = [st for sentence in said.sentences for st in sentence.statements]
    if len(pieces) != 1 or len(said.sentences) != 1 or said.sentences[0].talk:
        return None
    piece = pieces[0]
    more = piece.targets or piece.values or piece.parts or piece.side or piece.denied
    if piece.not_done is None or more or piece.unknown or piece.link not in ("start", "comma"):
        return None
    grammar = reader.grammar
    return NotDone(piece.not_done, tuple(bare(said.text(span), grammar) for span in piece.reasons))


def parts_in(
    text: str, question: Question, reader: Reader, tests: frozenset[str] = frozenset()
) -> tuple[Reading, Statement] | None:
    """The parts of a total ("eyes four, verbal four, motor six", "E4V4M6") that a question asks.

    Args:
        text: The whole of what was said or typed.
        question: What was asked.
        reader: Reads it.
        tests: The tests that the question is about, where its choices do not say.

    Returns:
        The answer as it was read, or None where it is no such answer.
    """
    asked = tests or {f.test for choice in question.choices for f in choice.findings}
    for form in (text, _DIGIT_THEN_LETTER.sub(r"\1 ", text.upper())):
        said = reader.read(Utterance("answer", form))
        pieces = [st for sentence in said.sentences for st in sentence.statements if not st.empty]
        named = {term.test for st in pieces for term, _ in st.parts}
        if len(pieces) == 1 and pieces[0].parts and named <= asked and not pieces[0].unknown:
            return said, pieces[0]
    return None


def agreeing(grammar: Grammar, finding: Finding) -> Finding:
    """A total without parts that do not add up to it: who chose the total contradicted them."""
    scale = grammar.scales.get(grammar.tests[finding.test].scale or "")
    if scale is None or scale.kind != "total":
        return finding
    sizes = {
        text: int(text[len(part) :])
        for text in finding.detail
        for part in scale.parts
        if text.startswith(part) and text[len(part) :].isdigit()
    }
    if len(sizes) < len(scale.parts) or str(sum(sizes.values())) == finding.value:
        return finding
    return replace(finding, detail=tuple(text for text in finding.detail if text not in sizes))


def hints(question: Question, grammar: Grammar) -> list[str]:
    """What may be answered beside the choices, one wording of each.

    Args:
        question: Any question.
        grammar: Whose wordings are shown.
    """
    answers = grammar.requests.answers
    shown = [*(answers.not_tested if _names_one(question) else ()), *answers.not_sure[:1]]
    if question.kind in OFFERS and all(choice.label != NONE for choice in question.choices):
        shown += answers.neither[:1]
    tests = {finding.test for choice in question.choices for finding in choice.findings}
    scales = (grammar.scales.get(grammar.tests[test].scale or "") for test in sorted(tests))
    for scale in scales:
        if scale is not None and scale.parts:
            shown.append(", ".join(f"{part.spoken[0]} ..." for part in scale.parts.values()))
    return shown


def _names_one(question: Question) -> bool:
    """Whether it is clear what would not have been tested: one test at one place."""
    places = {(f.test, f.site) for choice in question.choices for f in choice.findings}
    if places:
        return len(places) == 1
    offered = any(choice.label != NONE for choice in question.choices)
    return offered or question.kind in ("value", "scale")


@lru_cache(maxsize=4)
def _wordings(grammar: Grammar) -> dict[Folded, str]:
    return {folded(form): meaning for form, meaning in _forms(grammar) if folded(form)}


def _forms(grammar: Grammar) -> Iterator[tuple[str, Meaning]]:
    answers = grammar.requests.answers
    for form in (*grammar.requests.requests.skip, *answers.not_sure):
        yield form, "open"
    for form in answers.neither:
        yield form, "neither"
    for form in answers.help:
        yield form, "help"
