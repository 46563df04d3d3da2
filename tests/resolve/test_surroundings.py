"""What surrounds a statement: how it was tried, comments, asides. Both readers together.

Sentences of our own; common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()


def heard(*lines: str) -> Record:
    session = Session(GRAMMAR)
    for i, line in enumerate(lines, 1):
        session.take(Utterance(f"u{i}", line))
    return session.record()


def rows(record: Record) -> set[str]:
    found = record.findings
    return {" ".join(part or "-" for part in (f.test, f.site, f.side, f.value)) for f in found}


@pytest.mark.parametrize(
    ("said", "found", "detail"),
    [
        ("pupils four millimetres each in the dark", "pupil_size - right 4 mm", "in the dark"),
        (
            "the tongue deviates to the left on protrusion",
            "tongue - left deviated",
            "on protrusion",
        ),
        ("repetition impaired for long sentences", "repetition - - impaired", "long sentences"),
        ("hearing reduced to whispered voice on the left", "hearing - left reduced", "whispered"),
        ("smell absent to coffee on the right", "smell - right absent", "to coffee"),
        ("tremor of the right hand while sitting", "tremor hand right present", "while sitting"),
        ("gait antalgic without shoes", "gait - - antalgic", "without shoes"),
        ("fundi normal with my ophthalmoscope", "fundi - left normal", "ophthalmoscope"),
    ],
)
def test_how_it_was_tried_is_a_detail(said: str, found: str, detail: str) -> None:
    record = heard("gag present", said)
    assert found in rows(record) and record.questions == ()
    details = [text for f in record.findings for text in f.detail]
    assert any(detail in text for text in details)


def test_an_unknown_word_that_may_be_a_place_is_asked_about() -> None:
    record = heard("vibration reduced to the flurb")
    assert record.findings == () and record.questions
