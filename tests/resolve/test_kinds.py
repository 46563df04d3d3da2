"""Kinds of saying, one case each: what must come of them by both readers, and no question.

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
    ("Tone normal throughout, bulk likewise.", ["tone all - normal", "bulk all - normal"]),
]


@pytest.mark.parametrize(("said", "found"), CASES, ids=[said for said, _ in CASES])
def test_what_is_said_plainly_is_recorded(said: str, found: list[str]) -> None:
    """Both readers come to it, and nothing is asked."""
    session = Session()
    for n, line in enumerate(said.split(" | "), 1):
        session.take(Utterance(str(n), line))
    record = session.record()
    rows = [" ".join(x or "-" for x in (f.test, f.site, f.side, f.value)) for f in record.findings]
    assert sorted(rows) == sorted(found)
    assert not record.questions


#: What was said, and what must not be recorded of it, whatever is asked.
NEVER = [
    ("Nystagmus, skew and ptosis all absent.", "nystagmus - - present"),
    ("Nystagmus, skew and ptosis all absent.", "eye_alignment - - skew"),
    ("Spasticity in the left arm, down in the right.", "tone upper_limb right spastic"),
    ("Strength: right triceps four, the left side is all five.", "strength triceps left 5"),
    ("In 2019 tone was normal but reflexes were brisk.", "stretch_reflex all - brisk"),
]


@pytest.mark.parametrize(("said", "never"), NEVER)
def test_what_was_not_said_is_not_recorded(said: str, never: str) -> None:
    """By neither reader."""
    session = Session()
    session.take(Utterance("1", said))
    rows = [
        " ".join(x or "-" for x in (f.test, f.site, f.side, f.value))
        for f in session.record().findings
    ]
    assert never not in rows
