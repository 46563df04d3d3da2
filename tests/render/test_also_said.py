"""What was said beside the findings is shown to the examiner who signs, and nothing more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dictate.grammar import Grammar
from dictate.model import Record, Utterance
from dictate.render import RENDERERS
from dictate.render.also_said import also_said
from dictate.session import Session


def _hear(whole: Grammar, *lines: str) -> Record:
    session = Session(whole, alone=True)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


@pytest.mark.parametrize(
    "line",
    [
        "Right biceps jerk two plus.",
        "On the right, the deltoid was noted to be four plus, and the biceps is five as well.",
        "Reflexes: knees three plus, ankles absent, toes: right down, left up.",
        "Okay, so, the gait is wide-based, um, and ataxic.",
        "Cranial nerves II to XII intact.",
        "Power in the right arm: deltoid five, biceps four.",
        "On the left: plantars extensor.",
        "Sensation is intact to light touch in the left hand.",
        "Reflexes are two plus and symmetric throughout.",
        "Power five throughout except left hip flexion, which is four.",
        "Close your eyes. Light touch reduced in the left hand.",
        "Deltoid five on the left, no, make that four plus.",
        "Left deltoid six of five.",
    ],
)
def test_a_plain_statement_leaves_nothing_over(whole: Grammar, line: str) -> None:
    assert also_said(_hear(whole, line), whole) == []


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        (
            "Right biceps jerk two plus with a funny afterswing.",
            ['"funny afterswing" in "Right biceps jerk two plus with a funny afterswing"'],
        ),
        (
            "Pupils equal, climbs all ladders, gait normal.",
            ['"climbs all ladders"'],
        ),
        (
            "Tone normal. The ward cat sleeps on the left. Power five throughout.",
            ['"The ward cat sleeps on the left"'],
        ),
        (
            "No papilledema or haemorrhages.",
            ['"haemorrhages" in "No papilledema or haemorrhages"'],
        ),
        (
            "Power five on the right, something else on the left.",
            ['"something else on the left"'],
        ),
    ],
)
def test_what_nothing_accounts_for_is_shown(whole: Grammar, line: str, shown: list[str]) -> None:
    assert also_said(_hear(whole, line), whole) == shown


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("Tone normal, not in the legs.", ['"not in the legs"']),
        ("Tone normal in the arms, not the legs.", ['"not the legs"']),
        ("Knees two plus. I haven't got the ankles.", ['"I haven\'t got the ankles"']),
        ("Tone normal, not yet.", []),
    ],
)
def test_what_is_denied_of_something_is_shown(whole: Grammar, line: str, shown: list[str]) -> None:
    """Also where it names a test that is recorded, so that the name alone would say nothing."""
    record = replace(_hear(whole, line), questions=(), history=())
    assert also_said(record, whole) == shown


def test_it_stands_in_one_headingwith_the_remarks_in_every_form_of_the_note(whole: Grammar) -> None:
    record = _hear(whole, "Gait normal with a jaunty lilt.", "The window is open.")
    for name in ("note", "markdown"):
        text = str(RENDERERS[name].function(record, whole))
        heading = text.index("Said, and in no finding")
        assert heading < text.index("jaunty lilt") < text.index("The window is open")


def test_the_same_words_are_shown_once(whole: Grammar) -> None:
    record = _hear(whole, "Gait normal with a jaunty lilt.", "Gait normal with a jaunty lilt.")
    assert len(also_said(record, whole)) == 1


def test_the_record_is_left_as_it_is(whole: Grammar) -> None:
    record = _hear(whole, "Pupils equal, moves all limbs.")
    kinds = [utterance.kind for utterance in record.utterances]
    also_said(record, whole)
    assert [utterance.kind for utterance in record.utterances] == kinds == ["finding"]
