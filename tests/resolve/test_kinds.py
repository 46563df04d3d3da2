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
