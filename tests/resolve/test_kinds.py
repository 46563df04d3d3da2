"""Kinds of saying, one case each: what must come of them, and no question.

The cases are of our own, judged by the contract's rules; common practice where they are silent, no
source.
"""

import pytest

from dictate.model import Utterance
from dictate.session import Session

#: What was said, line by line, and all that must be found ("test site side value").
CASES = [
    ("Now we're coming to the left leg. | Hip flexors four.", ["strength hip_flexion left 4"]),
    ("Right leg first. Hip flexors four.", ["strength hip_flexion right 4"]),
    ("Motor, and I begin on the right. | Deltoid five.", ["strength deltoid right 5"]),
    (
        "The left plantar is extensor, the right one flexor.",
        ["plantar - left extensor", "plantar - right flexor"],
    ),
    (
        "Hip flexors four minus on the left, extensors the same.",
        ["strength hip_flexion left 4-", "strength hip_extension left 4-"],
    ),
    (
        "Knee jerks, one plus right, two plus left, ankle jerks likewise.",
        [
            "stretch_reflex knee right 1+",
            "stretch_reflex knee left 2+",
            "stretch_reflex ankle right 1+",
            "stretch_reflex ankle left 2+",
        ],
    ),
    (
        "Everything in the legs is five except the left quadriceps three.",
        [
            "strength lower_limb right 5",
            "strength lower_limb left 5",
            "strength knee_extension left 3",
        ],
    ),
    (
        "No significant facial weakness, no rest or postural tremor.",
        ["facial_strength all - normal", "tremor all - absent"],
    ),
    ("Double vision for four days.", []),
    (
        "Temperature deferred because the water is not cold enough.",
        ["temperature all - not_tested"],
    ),
    (
        "The letter says the knee jerks were gone but I get knee jerks of one plus.",
        ["stretch_reflex knee right 1+", "stretch_reflex knee left 1+"],
    ),
    ("Neither ankle shows clonus.", ["clonus ankle right absent", "clonus ankle left absent"]),
    ("Speech is dysarthric, not aphasic.", ["speech - - dysarthric"]),
    (
        "Deltoid five out of five on the right versus four out of five on the left.",
        ["strength deltoid right 5", "strength deltoid left 4"],
    ),
    (
        "Left leg now. | Five for hip flexion, four for knee flexion.",
        ["strength hip_flexion left 5", "strength knee_flexion left 4"],
    ),
    (
        "Three plus, left knee; two plus, right knee.",
        ["stretch_reflex knee left 3+", "stretch_reflex knee right 2+"],
    ),
    (
        "Right arm now, there's a drift. | Deltoid three, grip four.",
        ["pronator_drift - right present", "strength deltoid right 3", "strength grip right 4"],
    ),
    ("Tone normal throughout, bulk likewise.", ["tone all - normal", "bulk all - normal"]),
]


def _rows(said: str, alone: bool) -> tuple[list[str], int]:
    session = Session(alone=alone)
    for n, line in enumerate(said.split(" | "), 1):
        session.take(Utterance(str(n), line))
    record = session.record()
    rows = [" ".join(x or "-" for x in (f.test, f.site, f.side, f.value)) for f in record.findings]
    return rows, len(record.questions)


@pytest.mark.parametrize(("said", "found"), CASES, ids=[said for said, _ in CASES])
def test_what_is_said_plainly_is_recorded(said: str, found: list[str]) -> None:
    """The first reader comes to it and asks nothing; both together record nothing else."""
    rows, asked = _rows(said, alone=True)
    assert sorted(rows) == sorted(found)
    assert not asked
    assert set(_rows(said, alone=False)[0]) <= set(found)


#: What was said, and what must not be recorded of it, whatever is asked.
NEVER = [
    ("Nystagmus, skew and ptosis all absent.", "nystagmus - - present"),
    ("Nystagmus, skew and ptosis all absent.", "eye_alignment - - skew"),
    ("Spasticity in the left arm, down in the right.", "tone upper_limb right spastic"),
    ("Strength: right triceps four, the left side is all five.", "strength triceps left 5"),
    ("Right toe is neither up nor down.", "plantar - right extensor"),
    ("Both discs are sharp, without papilloedema or pallor.", "fundi - right pallor"),
    ("Pinprick reduced in the right arm but not the face.", "pinprick face right absent"),
    ("Romberg negative actually, he sways with the eyes open.", "romberg - - present"),
    ("In 2019 tone was normal but reflexes were brisk.", "stretch_reflex all - brisk"),
]


@pytest.mark.parametrize(("said", "never"), NEVER)
def test_what_was_not_said_is_not_recorded(said: str, never: str) -> None:
    """By neither reader."""
    assert never not in _rows(said, alone=True)[0]
    assert never not in _rows(said, alone=False)[0]
