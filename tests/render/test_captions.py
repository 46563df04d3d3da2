"""Captions and chapters of records with times, read by another program."""

from __future__ import annotations

import pytest
import webvtt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.model import Finding, Place, Question, Record
from dictate.render import RENDERERS

EMPTY_LINE_TEXT = "a\n\nb"


def _read(text: str) -> list[tuple[str, str, str]]:
    return [(cue.start, cue.end, cue.raw_text) for cue in webvtt.from_string(text).captions]


def _said(start_s: float, end_s: float, utterance: str = "u1") -> tuple[Place, ...]:
    return (Place(utterance, 0, 4, start_s, end_s, 0.9),)


def _milliseconds(clock: str) -> int:
    hours, minutes, seconds = clock.split(":")
    return (int(hours) * 60 + int(minutes)) * 60_000 + round(float(seconds) * 1000)


def test_both_sides_said_at_once_are_one_caption_of_two_lines(small: Grammar) -> None:
    record = Record(
        tuple(
            Finding("strength", "deltoid", side, "5", (), True, _said(3.5, 5.25))
            for side in ("right", "left")
        )
    )
    assert _read(RENDERERS["captions"].function(record, small)) == [
        ("00:00:03.500", "00:00:05.250", "Right deltoid 5/5\nLeft deltoid 5/5")
    ]


def test_a_question_is_a_caption_where_its_words_were_spoken(small: Grammar) -> None:
    record = Record(
        (Finding("gait", None, None, "ataxic", (), False, _said(3601.0, 3602.5, "u2")),),
        (Question("q1", "side", _said(1.0, 2.5), "Which side?"),),
    )
    assert _read(RENDERERS["captions"].function(record, small)) == [
        ("00:00:01.000", "00:00:02.500", "To be settled: Which side?"),
        ("01:00:01.000", "01:00:02.500", "Gait ataxic"),
    ]


def test_a_heading_before_does_not_make_the_caption_early(small: Grammar) -> None:
    said = (Place("u1", 0, 5, 1.0, 1.5), Place("u2", 0, 9, 10.0, 12.0))
    record = Record((Finding("strength", "biceps", "right", "4+", (), False, said),))
    assert _read(RENDERERS["captions"].function(record, small)) == [
        ("00:00:10.000", "00:00:12.000", "Right biceps 4+/5")
    ]


def test_a_short_caption_stays_until_it_can_be_read_or_the_next_begins(small: Grammar) -> None:
    record = Record(
        (
            Finding("tone", "all", None, "normal", (), True, _said(1.0, 1.2)),
            Finding("bulk", "all", None, "normal", (), True, _said(1.4, 1.6)),
        )
    )
    assert _read(RENDERERS["captions"].function(record, small)) == [
        ("00:00:01.000", "00:00:01.400", "Tone normal"),
        ("00:00:01.400", "00:00:02.400", "Bulk normal"),
    ]


def test_a_prompt_with_empty_lines_and_arrows_stays_one_caption(small: Grammar) -> None:
    prompt = f"Which {EMPTY_LINE_TEXT} --> <b> & c?"
    record = Record((), (Question("q1", "side", _said(1.0, 2.5), prompt),))
    assert _read(RENDERERS["captions"].function(record, small)) == [
        (
            "00:00:01.000",
            "00:00:02.500",
            "To be settled: Which a b --&gt; &lt;b&gt; &amp; c?",
        )
    ]


@pytest.mark.parametrize("name", ["captions", "chapters"])
def test_what_has_no_time_has_no_captions(small: Grammar, name: str) -> None:
    record = Record((Finding("gait", None, None, "normal", said=(Place("u1", 0, 4),)),))
    with pytest.raises(InputError, match="need sound"):
        RENDERERS[name].function(record, small)


SECONDS = st.floats(0, 7200, allow_nan=False)
TIMED = st.lists(
    st.tuples(st.sampled_from(["tone", "light_touch", "gait"]), SECONDS, st.floats(0, 9)),
    min_size=1,
    max_size=9,
)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=TIMED)
@pytest.mark.parametrize("name", ["captions", "chapters"])
def test_captions_are_in_order_and_never_over_one_another(
    small: Grammar, name: str, rows: list[tuple[str, float, float]]
) -> None:
    found = tuple(
        Finding(test, None, None, "normal", (str(index),), True, _said(start, start + long))
        for index, (test, start, long) in enumerate(rows)
    )
    cues = _read(RENDERERS[name].function(Record(found), small))
    times = [_milliseconds(time) for start, end, _ in cues for time in (start, end)]
    assert times == sorted(times)
    assert all(start < end for start, end in zip(times[::2], times[1::2], strict=True))
    if name == "captions":
        text = "\n".join(line for _, _, line in cues)
        assert all(f"({index})" in text for index in range(len(rows)))
        assert {round(start * 1000) for _, start, _ in rows} == set(times[::2])
