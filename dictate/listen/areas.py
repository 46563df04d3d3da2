"""Which part of the examination is being dictated."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reader
from dictate.model import Finding, Utterance
from dictate.session import Heard


def area_of(utterance: Utterance, heard: Heard, grammar: Grammar, reader: Reader) -> str | None:
    """The area that an utterance is about.

    Args:
        utterance: What was heard.
        heard: What it changed.
        grammar: The areas.
        reader: Reads headings.

    Returns:
        The area's id; None where the utterance does not say.
    """
    about: list[Finding] = [*heard.added]
    if not about:
        about = [f for question in heard.asked for c in question.choices for f in c.findings]
    if about:
        return grammar.area_of(about[-1].test).area
    if heard.kind != "command":
        return None
    row = [item for sentence in reader.read(utterance).sentences for item in sentence.row]
    sections = [r.id for item in row for r in item.of_kind("section")]
    tests = {r.test for item in row for r in item.of_kind("test") if r.test}
    areas = {*sections} or {grammar.area_of(test).area for test in tests}
    return areas.pop() if len(areas) == 1 else None
