"""What surrounds a statement: how it was tried, comments, asides. Both readers together.

Sentences of our own; common practice, no source.
"""

from __future__ import annotations

import pytest

from .narrated import record_of, rows


@pytest.mark.parametrize(
    ("said", "found", "detail"),
    [
        ("pupils four millimetres each in the dark", "pupil_size - right 4 mm", "in the dark"),
        (
            "the tongue deviates to the left on protrusion",
            "tongue - left deviated",
            "on protrusion",
        ),
        ("repetition impaired for long sentences", "repetition - - impaired", "long sentences"),
        ("hearing reduced to whispered voice on the left", "hearing - left reduced", "whispered"),
        ("smell absent to coffee on the right", "smell - right absent", "to coffee"),
        ("tremor of the right hand while sitting", "tremor hand right present", "while sitting"),
        ("gait antalgic without shoes", "gait - - antalgic", "without shoes"),
        ("fundi normal with my ophthalmoscope", "fundi - left normal", "ophthalmoscope"),
    ],
)
def test_how_it_was_tried_is_a_detail(said: str, found: str, detail: str) -> None:
    record = record_of("gag present", said)
    assert found in rows(record) and record.questions == ()
    details = [text for f in record.findings for text in f.detail]
    assert any(detail in text for text in details)


def test_an_unknown_word_that_may_be_a_place_is_asked_about() -> None:
    record = record_of("vibration reduced to the flurb")
    assert record.findings == () and record.questions


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("power five in both arms, but I had to shout", "strength upper_limb left 5"),
        ("left deltoid four, and that worries me", "strength deltoid left 4"),
        (
            "ankle jerks absent, which goes along with his story",
            "stretch_reflex ankle right absent",
        ),
        ("right drift, the cardinal sign of a tract lesion", "pronator_drift - right present"),
        ("gait ataxic, and he hated it", "gait - - ataxic"),
        ("right pupil sluggish, so I will call ophthalmology", "pupil_reaction - right sluggish"),
    ],
)
def test_a_comment_leaves_what_was_stated_before_it(said: str, found: str) -> None:
    record = record_of("plantars flexor", said)
    assert found in rows(record) and record.questions == ()
    assert record.utterances[1].text == said


@pytest.mark.parametrize(
    "said",
    [
        "left deltoid four, according to the referral letter",
        "ankle jerks absent, says the nurse",
        "right pronator drift, or so I was told last year",
        "left plantar extensor, or perhaps I tickled him",
        "power five in the left arm, unless she let go",
    ],
)
def test_what_turns_a_statement_round_is_no_comment(said: str) -> None:
    record = record_of("gag present", said)
    assert len(record.findings) == 1


def test_a_comment_after_half_a_statement_leaves_no_finding_of_that_half() -> None:
    record = record_of(
        "gag present", "finger nose normal on the right, and the left, the connection has jammed"
    )
    assert not any(row.startswith("finger_to_nose - left") for row in rows(record))
    assert record.questions


def test_a_bare_name_is_not_asked_about_where_its_finding_was_made() -> None:
    assert record_of("hearing normal in both ears with finger rub").questions == ()
    assert record_of("left triceps jerk two plus, right triceps jerk").questions
