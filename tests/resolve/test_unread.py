"""What is denied beside a finding, and was not read, is asked about and never dropped."""

from __future__ import annotations

import pytest

from .narrated import record_of


@pytest.mark.parametrize(
    ("line", "unread"),
    [
        ("Tone normal, not in the legs.", "not in the legs"),
        ("Tone normal in the arms, not the left leg.", "not the left leg"),
        ("Pinprick intact in the arms, no in the right hand.", "no in the right hand"),
        ("Right grip five. The left knee I haven't flurbed.", "left knee"),
    ],
)
def test_it_is_asked_about(line: str, unread: str) -> None:
    record = record_of(line)
    asked = [line[p.start : p.end] for q in record.questions for p in q.about]
    assert record.findings
    assert any(unread in words for words in asked), asked


@pytest.mark.parametrize(
    "line",
    [
        "Tone normal, no cogwheeling.",
        "No drift, no tremor in either hand.",
        "Power five throughout. His mother could not lift the left arm.",
    ],
)
def test_what_was_read_or_is_anothers_is_not(line: str) -> None:
    record = record_of(line)
    assert record.findings
    assert not record.questions, [q.prompt for q in record.questions]
