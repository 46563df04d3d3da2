"""What is said in place of an earlier finding, by the contract ("Corrections: ... replace what they
correct", "A correction reaches back to the last finding of its test and site, however far").

The sentences are of our own; ways of speaking are common practice, no source.
"""

import pytest

from .narrated import record_of, rows

BEFORE = "Left grip five. | Knees two plus."
KNEES = {"stretch_reflex knee right 2+", "stretch_reflex knee left 2+"}
#: Each is said after the two lines above, and leaves the left grip at four.
TO_FOUR = [
    "Edit: left grip 4, not 5.",
    "Left grip is 4, not 5.",
    "Change the left grip to four.",
    "Correct for me the left grip, four.",
    "Please amend the left grip, it is four.",
    "Put the left grip at four.",
    "Left grip rechecked, four.",
    "Left grip on repeat four.",
    "On retesting, the left grip is four.",
    "Correcting: left grip 4.",
    "The left grip should be four.",
    "Sorry, the left grip, I should say four.",
    "Scratch what I said about the left grip, I make it four.",
    "No, strike that, the left grip is four.",
]
#: Narrations, and all that must be found, with no question.
CASES = [
    ("No ptosis and pupils normal.", {"ptosis - - absent", "pupils - - normal"}),

    ("Right deltoid four, biceps three. | Wrong side.",
     {"strength deltoid left 4", "strength biceps left 3"}),
    ("Right deltoid four, right biceps three, wrong side.",
     {"strength deltoid right 4", "strength biceps left 3"}),
    ("Pupils three millimetres right, four left. | Left facial droop, no wait, it's the right one.",
     {"pupil_size - right 3 mm", "pupil_size - left 4 mm", "facial_strength all right weak"}),
    ("Ataxia on the right, no, the other side.", {"limb_ataxia - left present"}),
]  # fmt: skip
#: What interrupts, and corrects nothing.
INTERRUPTS = [
    "Sorry, can somebody turn that radio down please.",
    "Hold on, somebody's at the window.",
    "Oops, I've got you.",
    "Wait, let me fetch my hammer.",
]
#: Which of two is meant is not said: nothing of it is recorded, and it is asked.
ASKED = [
    ("Left grip five. | Left grip four.", "strength grip left"),
    ("Left grip three. | Left grip is four, not five.", "strength grip left"),
    ("Right deltoid four. Right biceps three. | Wrong side.", "strength"),
]


def heard(said):
    record = record_of(*(line.strip() for line in said.split("|")))
    return rows(record), record.questions


@pytest.mark.parametrize("said", TO_FOUR)
def test_another_value_takes_the_place_of_the_first(said):
    """By both readers, and nothing else is touched."""
    found_rows, questions = heard(f"{BEFORE} | {said}")
    assert found_rows == KNEES | {"strength grip left 4"}
    assert not questions


@pytest.mark.parametrize(("said", "found"), CASES)
def test_only_what_was_meant_is_changed(said, found):
    found_rows, questions = heard(said)
    assert found <= found_rows
    assert not [q for q in questions if q.kind in {"side", "conflict", "referent"}]


@pytest.mark.parametrize(("said", "never"), ASKED)
def test_what_is_not_said_is_asked(said, never):
    found_rows, questions = heard(said)
    assert not [row for row in found_rows if row.startswith(never)]
    assert questions


@pytest.mark.parametrize("said", INTERRUPTS)
def test_words_that_only_interrupt_leave_all_as_it_is(said):
    found_rows, questions = heard(f"Tone increased in the right arm. | {said}")
    assert found_rows == {"tone upper_limb right increased"}
    assert not questions


@pytest.mark.parametrize("said", ["Sorry, brisk, you can see it.", "Oops, brisk with this hammer."])
def test_a_value_that_what_was_found_can_have_corrects_it(said):
    found_rows, _ = heard(f"Left knee jerk normal. | {said}")
    assert "stretch_reflex knee left normal" not in found_rows
