"""Instructions to the patient name what a bare value after them is said of."""

from __future__ import annotations

import pytest

from dictate.errors import GrammarError
from dictate.grammar import load_grammar
from dictate.grammar.link import check_links
from dictate.grammar.schema import Instruction
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()
INSTRUCTIONS = [one for area in GRAMMAR.areas for one in area.told]


def _record(*lines: str) -> Record:
    session = Session(GRAMMAR)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


def _rows(record: Record) -> list[tuple[object, ...]]:
    found = [(f.test, f.site or "", f.side or "", f.value) for f in record.findings]
    asked = [(q.kind,) for q in record.questions]
    return sorted(found) + sorted(asked)


def _named(record: Record) -> list[tuple[object, ...]]:
    """What was found, or what a question takes for found: whether it was is another matter."""
    sure = [q.choices[0].findings for q in record.questions if len(q.choices) == 2]
    more = [(f.test, f.site or "", f.side or "", f.value) for fs in sure for f in fs]
    asked = [(q.kind,) for q in record.questions if len(q.choices) != 2]
    found = [(f.test, f.site or "", f.side or "", f.value) for f in record.findings]
    return sorted(found + more) + sorted(asked)


@pytest.mark.parametrize("one", INSTRUCTIONS, ids=lambda one: one.name)
def test_a_value_after_an_instruction_is_that_of_the_name(one: Instruction) -> None:
    """The same as after the name itself: one finding, or the same question."""
    named = _named(_record(f"{one.name.capitalize()}: normal on the right."))
    assert named
    for words in one.words:
        said = _named(_record(f"{words.capitalize()}. Normal on the right."))
        after = _named(_record(f"{words.capitalize()} for me.", "Normal on the right."))
        assert (words, said) == (words, named) and (words, after) == (words, named)


@pytest.mark.parametrize("one", INSTRUCTIONS, ids=lambda one: one.name)
@pytest.mark.parametrize("praise", ["Good.", "Lovely, thank you.", "Perfect. And relax."])
def test_praise_is_no_value(one: Instruction, praise: str) -> None:
    for lines in ([f"{one.words[0].capitalize()}. {praise}"], [one.words[0], praise]):
        assert _rows(_record(*lines)) == []


def test_what_was_told_does_not_last() -> None:
    record = _record("Stick out your tongue.", "The patient is tired today.", "Midline.")
    assert not record.findings
    record = _record("Stick out your tongue.", "Deltoid five on the right.", "Deviated.")
    assert [f.test for f in record.findings] == ["strength"]


def test_what_names_something_itself_is_not_of_the_instruction() -> None:
    record = _record("Stick out your tongue. No tremor of the hands.")
    assert {f.test for f in record.findings} == {"tremor"}


def test_the_finding_stands_where_its_words_are() -> None:
    (finding,) = _record("Okay, stick out your tongue. Midline.").findings
    text = "Okay, stick out your tongue. Midline."
    assert [text[p.start : p.end] for p in finding.said] == ["stick out your tongue", "Midline"]
    (finding,) = _record("Stick out your tongue.", "Midline.").findings
    assert [(p.utterance, p.start, p.end) for p in finding.said] == [("u2", 0, 7)]


def test_a_name_that_nothing_has_is_refused() -> None:
    area = GRAMMAR.areas[0].model_copy(
        update={"told": (Instruction(name="blorb", words=("blorb for me",)),)}
    )
    grammar = type(GRAMMAR)(**{
        **{name: getattr(GRAMMAR, name) for name in GRAMMAR.__dataclass_fields__ if
           GRAMMAR.__dataclass_fields__[name].init},
        "areas": (area, *GRAMMAR.areas[1:]),
    })  # fmt: skip
    with pytest.raises(GrammarError, match="no test and no site is called 'blorb'"):
        check_links(grammar)


@pytest.mark.parametrize(
    ("lines", "rows"),
    [
        (["Gait. Wide based."], [("gait", "", "", "wide_based")]),
        (["Romberg. Negative. Tandem. Impaired."],
         [("romberg", "", "", "absent"), ("tandem", "", "", "impaired")]),
        (["Tongue.", "Deviated to the left."], [("tongue", "", "left", "deviated")]),
        (["Gait.", "The daughter is here.", "Wide based."], [("gait", "", "", "wide_based")]),
    ],
)  # fmt: skip
def test_a_bare_name_before_a_full_stop_is_a_heading(
    lines: list[str], rows: list[tuple[str, ...]]
) -> None:
    assert _rows(_record(*lines)) == rows
