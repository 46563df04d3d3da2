"""What is denied, done or not done in few words: both readers have it, and so has the record.

Invented; a "no" of what is done is that it was not, common practice, no source.
"""

from __future__ import annotations

import pytest

from .narrated import record_of, rows


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("Left leg no wasting.", {"bulk lower_limb left normal"}),
        ("Right ankle no clonus.", {"clonus ankle right absent"}),
        (
            "Arms no tremor or fasciculations.",
            {
                "tremor upper_limb right absent",
                "tremor upper_limb left absent",
                "fasciculations upper_limb right absent",
                "fasciculations upper_limb left absent",
            },
        ),
        (
            "Right leg no wasting, no fasciculations.",
            {"bulk lower_limb right normal", "fasciculations lower_limb right absent"},
        ),
        (
            "Neither wasting nor fasciculations in the right leg.",
            {"bulk lower_limb right normal", "fasciculations lower_limb right absent"},
        ),
        ("Face: no weakness.", {"facial_strength all - normal"}),
        ("Jaw: no weakness.", {"jaw_strength - - normal"}),
        ("No weakness of the tongue.", {"tongue - - normal"}),
        ("Right arm: no weakness.", {"strength upper_limb right normal"}),
    ],
)
def test_a_place_before_what_is_denied_of_it(line: str, found: set[str]) -> None:
    assert rows(record_of(line)) == found


@pytest.mark.parametrize(
    ("line", "found"),
    [
        (
            "Drift: left no, right yes.",
            {"pronator_drift - left absent", "pronator_drift - right present"},
        ),
        (
            "Drift no on the left, yes on the right.",
            {"pronator_drift - left absent", "pronator_drift - right present"},
        ),
        (
            "Tremor: left hand yes, right hand no.",
            {"tremor hand left present", "tremor hand right absent"},
        ),
        (
            "Toe walk no on the left, yes on the right.",
            {"toe_walk - left impaired", "toe_walk - right normal"},
        ),
        ("Heel walk yes, tandem no.", {"heel_walk - - normal", "tandem - - impaired"}),
        (
            "Orientation: time yes, place no.",
            {"orientation time - normal", "orientation place - impaired"},
        ),
        (
            "On his heels he can, on his toes he can't.",
            {"heel_walk - - normal", "toe_walk - - unable"},
        ),
        ("Not walked, he is on bed rest.", {"gait - - not_tested"}),
        ("I haven't walked her.", {"gait - - not_tested"}),
        (
            "Knees two plus, I couldn't get either ankle.",
            {
                "stretch_reflex knee right 2+",
                "stretch_reflex knee left 2+",
                "stretch_reflex ankle right absent",
                "stretch_reflex ankle left absent",
            },
        ),
        ("Romberg unsafe so not done.", {"romberg - - not_tested"}),
        ("Gag not bothered with.", {"gag - - not_tested"}),
        ("Vibration abandoned.", {"vibration all - unable"}),
    ],
)
def test_yes_and_no_and_what_was_not_done(line: str, found: set[str]) -> None:
    assert rows(record_of(line)) == found


def test_an_answer_that_is_taken_back_is_none() -> None:
    record = record_of("Tandem no, sorry, yes.")
    assert not record.findings
    assert record.questions
