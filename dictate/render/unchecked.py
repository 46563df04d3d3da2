"""Findings that only one listener heard, and how every output and the screen say so."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar import Grammar
from dictate.model import Finding
from dictate.render.clauses import Sentence, write_test
from dictate.render.open_places import OpenPlace

#: Stands after what only one listener heard. Typed text needs no second listener and has no mark.
MARK = "heard by one listener only"


def all_unchecked(findings: Sequence[Finding]) -> bool:
    """Tell whether there are findings, and none of them was heard by a second listener."""
    return bool(findings) and all(finding.checked is False for finding in findings)


def marked(text: str, unchecked: bool = True) -> str:
    """A text with the mark after it, where it needs one."""
    return f"{text} ({MARK})" if unchecked else text


def write_marked(
    grammar: Grammar, findings: Sequence[Finding], places: Sequence[OpenPlace] = ()
) -> tuple[Sentence, ...]:
    """Write the findings of one test; those that only one listener heard are sentences apart.

    Args:
        grammar: Where the words come from.
        findings: Findings of one and the same test.
        places: Where questions are open, of any test.
    """
    alone = [finding for finding in findings if finding.checked is False]
    others = [finding for finding in findings if finding.checked is not False]
    sentences = write_test(grammar, others, places) if others else ()
    for sentence in write_test(grammar, alone, places) if alone else ():
        sentences += (Sentence(marked(sentence.text), sentence.findings),)
    return sentences
