"""A larger vocabulary makes no longer note: what nobody begins is not said to be missing."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.grammar.schema import Area
from dictate.model import Utterance
from dictate.render.note import write_note
from dictate.session import Session

GRAMMAR = load_grammar()
#: Areas without a part that every examination has (scores, the neck, newborns).
SPECIAL = [area for area in GRAMMAR.areas if not any(t.usual for t in area.tests.values())]
#: The sections of a screening examination, in the binding contract.
SCREENING = 7


def _missing(*lines: str) -> str:
    session = Session(GRAMMAR, alone=True)
    for i, line in enumerate(lines):
        session.take(Utterance(f"u{i}", line))
    note = write_note(session.record(), GRAMMAR)
    tail = note.split("No finding recorded for:")[1].split("Checked and signed")[0]
    return " ".join(tail.split())


def test_there_are_special_areas_beside_those_of_a_screening_examination() -> None:
    assert SPECIAL
    assert len(GRAMMAR.areas) - len(SPECIAL) <= SCREENING


@pytest.mark.parametrize("area", SPECIAL, ids=lambda area: area.area)
def test_a_special_area_that_nobody_began_is_not_missing(area: Area) -> None:
    missing = _missing("deltoid five of five bilaterally").lower()
    assert area.heading.note.lower() not in missing
    for test in area.tests.values():
        assert f" {test.name.lower()}," not in f" {missing},"


def test_only_what_every_examination_has_is_missing() -> None:
    missing = _missing("deltoid five of five bilaterally")
    unusual = {
        test.name
        for area in GRAMMAR.areas
        for test in area.tests.values()
        if not (test.usual or test.gives_way or test.everyday or test.numbered)
    }
    unusual -= {area.heading.note.lower() for area in GRAMMAR.areas}
    listed = missing.replace(";", ",").replace(" and ", ",").split(",")
    assert not {part.strip(" .") for part in listed} & unusual


def test_a_section_that_was_begun_names_no_more_than_its_usual_parts() -> None:
    before, after = _missing("gait normal"), _missing("Newborn examination.", "Moro present")
    assert len(after) <= len(before) + 60
