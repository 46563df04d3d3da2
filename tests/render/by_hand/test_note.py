"""Exact notes of records made by hand."""

from __future__ import annotations

import pytest

from dictate.model import Change, Choice, Finding, Place, Question, Record, Utterance
from dictate.render import RENDERERS
from dictate.render.sections import write_sections


def _lines(record, grammar):
    return [
        sentence.text
        for section in write_sections(record, grammar)
        for row in section.paragraphs
        for sentence in row
    ]


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (
            [("strength deltoid both 5",), ("strength biceps both 5",)],
            ["Strength 5/5 in the deltoids and biceps bilaterally"],
        ),
        (
            [("strength all - 5",), ("strength hip_flexion left 4+", False)],
            ["Strength 5/5 throughout, except 4+/5 in the left hip flexors"],
        ),
        (
            [("strength deltoid right 5",), ("strength biceps right 4+", False)],
            ["Strength 4+/5 in the right biceps; 5/5 in the right deltoid"],
        ),
        (
            [("strength upper_limb left 5",), ("strength deltoid right 4", False)],
            ["Strength 4/5 in the right deltoid; 5/5 in the left arm"],
        ),
        ([("drift - - absent",)], ["No pronator drift"]),
        ([("drift - left present", False)], ["Pronator drift on the left"]),
        (
            [
                ("strength upper_limb both 5",),
                ("strength lower_limb both 5",),
                ("strength hip_flexion left 4", False),
            ],
            [
                "Strength 5/5 in the legs bilaterally, except 4/5 in the left hip flexors; "
                "5/5 in the arms bilaterally"
            ],
        ),
        (
            [("tone all - normal",), ("tone upper_limb right normal",)],
            ["Tone normal, also in the right arm"],
        ),
        (
            [("drift - - present", False), ("drift - both present", False)],
            ["Pronator drift bilaterally"],
        ),
        ([("drift - - absent", True, ("at rest",))], ["No pronator drift at rest"]),
        (
            [("clonus ankle left absent", True, ("Sustained",))],
            ["No sustained clonus in the left ankle"],
        ),
        (
            [("strength biceps right 3", False, ("better than",))],
            ["Strength better than 3/5 in the right biceps"],
        ),
        (
            [("clonus ankle left present", False, ("4 beats",))],
            ["Clonus in the left ankle (4 beats)"],
        ),
        (
            [("gait - - wide_based", False), ("gait - - ataxic", False)],
            ["Gait wide-based and ataxic"],
        ),
        ([("gait - - not_tested", None, ("hip fracture",))], ["Gait not tested (hip fracture)"]),
        ([("tone all - normal",)], ["Tone normal"]),
        (
            [("tongue - both deviated", False)],
            ["Tongue points to the right", "Tongue points to the left"],
        ),
        ([("orientation - - not_tested", None, ("asleep",))], ["Orientation not tested (asleep)"]),
        (
            [("orientation person - normal",), ("orientation place - normal",)],
            ["Orientation to person and place normal"],
        ),
        (
            [("strength hip_flexion right unable", None, ("cast",))],
            ["Strength could not be done in the right hip flexors (cast)"],
        ),
    ],
)
def test_sentences(grammar, found, rows, expected) -> None:
    findings = tuple(one for row in rows for one in found(*row))
    assert _lines(Record(findings), grammar) == expected


LEFT = Finding("strength", "deltoid", "left", "4")


def _asked(prompt: str, *choices: Finding) -> Question:
    labels = [Choice(one.value, (one,)) for one in choices]
    return Question("q1", "value", (), prompt, tuple(labels))


@pytest.mark.parametrize(
    ("rows", "question", "expected"),
    [
        (
            [("strength all - 5",)],
            (
                Finding("strength", "deltoid", "left", "4"),
                Finding("strength", "deltoid", "left", "5"),
            ),
            "Strength 5/5 throughout, except in the left deltoid, to be settled",
        ),
        (
            [("strength all - 5",)],
            (
                Finding("strength", "deltoid", "left", "4"),
                Finding("strength", "deltoid", "right", "4"),
            ),
            "Strength 5/5 throughout, except in the deltoid, to be settled",
        ),
        (
            [("strength all - 5",), ("strength biceps right 4", False)],
            (LEFT,),
            "Strength 5/5 throughout, except 4/5 in the right biceps, "
            "and except in the left deltoid, to be settled",
        ),
        (
            [("strength upper_limb right 5",)],
            (LEFT,),
            "Strength 5/5 in the right arm",
        ),
        (
            [("motor - - normal",)],
            (Finding("drift", None, "left", "present"),),
            "Motor normal, except left pronator drift, to be settled",
        ),
    ],
)
def test_a_group_is_not_plainly_so_where_a_question_about_a_part_is_open(
    grammar, found, rows, question, expected
) -> None:
    findings = tuple(one for row in rows for one in found(*row))
    record = Record(findings, (_asked("Which?", *question),))
    assert _lines(record, grammar) == [expected]


def test_a_question_without_a_choice_names_its_place_in_its_words(grammar, found) -> None:
    asked = _asked("Deltoid strength: what did you find?")
    record = Record(found("strength all - 5"), (asked,))
    assert _lines(record, grammar) == [
        "Strength 5/5 throughout, except in the deltoid, to be settled"
    ]


def test_the_name_that_was_said_stands_in_place_of_the_sites(grammar, found) -> None:
    findings = found("strength hip_flexion right 4", False, site_said="iliopsoas")
    assert _lines(Record(findings), grammar) == ["Strength 4/5 in the right iliopsoas"]


def test_a_whole_note(grammar, found) -> None:
    utterances = (
        Utterance("u1", "right deltoid um", kind="finding"),
        Utterance("u2", "window is open", kind="remark"),
        Utterance("u3", "left one", kind="finding"),
    )
    skipped = Question("q2", "test", (Place("u3", 0, 4),), "Which test?")
    record = Record(
        findings=found("gait - - normal") + found("strength deltoid both 5"),
        questions=(Question("q1", "value", (Place("u1", 0, 13),), "Which grade?"),),
        utterances=utterances,
        history=(Change("skipped", "u3", question=skipped),),
        notices=("The sound ended early.",),
    )
    assert RENDERERS["note"].function(record, grammar) == (
        "Draft for the examiner to check and sign. It makes no diagnosis. Not a medical device.\n"
        "\n"
        "To be settled\n"
        '  - Which grade? (said: "right deltoid")\n'
        '  - Which test? (said: "left"; left open)\n'
        "\n"
        "Motor, MRC grades 0 to 5\n"
        "  Strength 5/5 in the deltoids bilaterally.\n"
        "\n"
        "Gait\n"
        "  Gait normal.\n"
        "\n"
        "Said, and in no finding\n"
        '  - "window is open"\n'
        "\n"
        "Notices\n"
        "  - The sound ended early.\n"
        "\n"
        "No finding recorded for: tone and pronator drift.\n"
        "\n"
        "Checked and signed: ______________________________    Date: ________________\n"
    )


def test_a_summary_does_not_speak_for_its_parts(grammar, found) -> None:
    note = RENDERERS["note"].function(Record(found("motor - - normal")), grammar)
    assert (
        "No finding recorded for: gait; the single parts of motor (said only as a whole)."
    ) in note


def test_parts_that_a_summary_alone_speaks_of_are_named_where_others_were_said(
    grammar, found
) -> None:
    record = Record(found("motor - - normal") + found("tone all - normal"))
    note = RENDERERS["note"].function(record, grammar)
    assert "gait; said only as a whole: motor: strength, pronator drift." in note


def test_a_summary_that_was_not_tested_covers_nothing(grammar, found) -> None:
    note = RENDERERS["note"].function(Record(found("motor - - not_tested", None)), grammar)
    assert "as a whole" not in note


def test_an_empty_record_says_so_and_calls_nothing_normal(grammar) -> None:
    note = RENDERERS["note"].function(Record(), grammar)
    assert "No findings are recorded." in note
    assert "normal" not in note


def test_lines_are_no_longer_than_100_columns(grammar, found) -> None:
    record = Record(
        found("gait - - normal"), utterances=(Utterance("u1", "word " * 80, kind="remark"),)
    )
    assert max(map(len, RENDERERS["note"].function(record, grammar).splitlines())) <= 100
