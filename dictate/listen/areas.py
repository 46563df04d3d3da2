"""Which part of the examination is being dictated, and what of it has not been mentioned."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reader
from dictate.model import Finding, Record, Utterance
from dictate.render.document import write_document
from dictate.session import Heard

_OPENING = "Not mentioned: "


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


def not_mentioned(record: Record, grammar: Grammar) -> tuple[str, ...]:
    """The usual parts of which nothing was said, by name, as the note lists them.

    A part that only a summary covers ("cranial nerves normal") stands as "..., one by one" does
    in the note.
    """
    for part in reversed(write_document(record, grammar).parts):
        for line in part.paragraphs:
            if not part.heading and line.startswith(_OPENING):
                whole = line.removeprefix(_OPENING).removesuffix(".")
                first, *summed = whole.split("; ")
                return (*first.split(", "), *summed)
    return ()
