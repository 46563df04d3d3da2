"""Lists, sides without pauses, typed signs, and statements after words to the patient.

Sentences and what they mean are our own (common practice, no source). Each is read as it stands and
with its sides exchanged.
"""

from __future__ import annotations

import re

import pytest

from dictate.model import Utterance
from dictate.parse.session import ParseSession

#: What is said (utterances parted by "|"), and what is found: test, site, side and value.
FOUND = {
    # each value has its side, and nobody paused
    "hip flexion four right three left knee flexion five right four left": [
        "strength hip_flexion right 4", "strength hip_flexion left 3",
        "strength knee_flexion right 5", "strength knee_flexion left 4"],
    "finger tapping slow right left normal": [
        "finger_tapping - right slow", "finger_tapping - left normal"],
    "heel shin dysmetric right normal left romberg negative": [
        "heel_to_shin - right dysmetric", "heel_to_shin - left normal", "romberg - - absent"],
    "vibration reduced left ankle normal right ankle": [
        "vibration ankle left reduced", "vibration ankle right normal"],
    "joint position reduced right big toe left fine": [
        "joint_position great_toe right reduced", "joint_position great_toe left normal"],
    # the side at the end is that of the list
    "wrist extension five wrist flexion four grip five that's the left": [
        "strength wrist_extension left 5", "strength wrist_flexion left 4",
        "strength grip left 5"],
    "Ankle jerks one plus, both of them.": [
        "stretch_reflex ankle right 1+", "stretch_reflex ankle left 1+"],
    "hamstrings four quadriceps five all bilateral": [
        f"strength {site} {side} {grade}"
        for site, grade in (("knee_flexion", "4"), ("knee_extension", "5"))
        for side in ("right", "left")],
    # lists without marks, and what a list has in common
    "right knee extension four|left knee extension knee flexion five": [
        "strength knee_extension right 4"],
    "tone bulk normal": ["tone all - normal", "bulk all - normal"],
    "right biceps two plus triceps one plus knee three plus": [
        "stretch_reflex biceps right 2+", "stretch_reflex triceps right 1+",
        "stretch_reflex knee right 3+"],
    # typed signs
    "Pinprick reduced C6-8 left.": [f"pinprick c{n} left reduced" for n in (6, 7, 8)],
    "Hip flexion 4 R (old fracture).": ["strength hip_flexion right 4"],
    "Tone increased legs R>L.": [
        "tone lower_limb right increased", "tone lower_limb left increased"],
    "Heel shin good x2.": ["heel_to_shin - right normal", "heel_to_shin - left normal"],
    "Toes: right down, left... up.": ["plantar - right flexor", "plantar - left extensor"],
    "fdi four right": ["strength first_dorsal_interosseous right 4"],
    "clonus R ankle 5 beats, none L": [
        "clonus ankle right present", "clonus ankle left absent"],
    "R: delt 4 quad 5|L: same": [
        f"strength {site} {side} {grade}"
        for site, grade in (("deltoid", "4"), ("knee_extension", "5"))
        for side in ("right", "left")],
    # a name with a site takes no place of another
    "Vibration is lost at the toes, both sides, and at the ankles it's reduced.": [
        f"vibration {site} {side} {value}"
        for site, value in (("toes", "absent"), ("ankle", "reduced"))
        for side in ("right", "left")],
    # words to the patient, and a statement in the same breath
    "push your foot down for me plantarflexion four on the left": [
        "strength ankle_plantarflexion left 4"],
    "Can you feel this? Light touch reduced on the right leg.": [
        "light_touch lower_limb right reduced"],
    "Now look to the left.|Eye movements full.": ["eye_movements - - normal"],
}  # fmt: skip

#: What is unclear and stays unrecorded.
UNCLEAR = ("oriented x2", "stick your tongue straight out for me")


_SIDES = {"right": "left", "left": "right", "R": "L", "L": "R"}


def _turned(text: str) -> str:
    return re.sub(r"\b(right|left|R|L)\b", lambda side: _SIDES[side[0]], text)


def _rows(said: str) -> list[str]:
    session = ParseSession()
    for i, text in enumerate(said.split("|"), 1):
        session.take(Utterance(f"u{i}", text))
    return sorted(
        f"{f.test} {f.site or '-'} {f.side or '-'} {f.value}" for f in session.record().findings
    )


@pytest.mark.parametrize("said", FOUND)
def test_found(said: str) -> None:
    assert _rows(said) == sorted(FOUND[said])


@pytest.mark.parametrize("said", FOUND)
def test_mirrored(said: str) -> None:
    assert _rows(_turned(said)) == sorted(_turned(row) for row in FOUND[said])


@pytest.mark.parametrize("said", UNCLEAR)
def test_unclear(said: str) -> None:
    assert _rows(said) == []
