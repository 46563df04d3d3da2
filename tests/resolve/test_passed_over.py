"""What the first reader passes over beside a finding, and the second asks about."""

from __future__ import annotations

import pytest

from .narrated import record_of, rows


@pytest.mark.parametrize(
    ("line", "found", "named"),
    [
        ("Tone normal. Not in the legs.", {"tone all - normal"}, "tone lower_limb"),
        (
            "Knee jerks two plus. No ankles.",
            {"stretch_reflex knee right 2+", "stretch_reflex knee left 2+"},
            "stretch_reflex ankle",
        ),
    ],
)
def test_a_sentence_without_a_finding_is_asked_about(
    line: str, found: set[str], named: str
) -> None:
    record = record_of(line)
    assert rows(record) == found
    (question,) = record.questions
    asked = {f"{f.test} {f.site}" for choice in question.choices for f in choice.findings}
    assert asked == {named}


@pytest.mark.parametrize(
    "line",
    [
        "Tandem not tested. Not safe.",
        "Close your eyes. Sharp or dull? Pinprick left hand normal.",
        "Tone normal. Thank you, that was lovely.",
    ],
)
def test_a_reason_or_talk_beside_a_finding_stays_that(line: str) -> None:
    assert not record_of(line).questions
