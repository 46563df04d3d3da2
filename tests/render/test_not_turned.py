"""Sentences of the note never turn what was said: whole statements with the program's own grammar.

Common practice, no source: how a clinician who signs must read them.
"""

from __future__ import annotations

import pytest

from dictate.grammar import Grammar
from dictate.grammar.details import Details, arrange
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Place, Question, Record, Utterance
from dictate.render.note import write_note
from dictate.render.sections import write_sections
from dictate.session import Session


def _record(whole: Grammar, *lines: str) -> Record:
    session = Session(whole, alone=True)
    for number, line in enumerate(lines, 1):
        session.hear(Utterance(f"u{number}", line))
    return session.record()


def _sentences(whole: Grammar, *lines: str) -> list[str]:
    return [
        sentence.text
        for section in write_sections(_record(whole, *lines), whole)
        for paragraph in section.paragraphs
        for sentence in paragraph
    ]


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        # a group with an open exception is not plainly so
        (["sensation intact except the left foot"],
         "Sensation normal, except in the left foot, to be settled"),
        (["power five throughout except the deltoid"],
         "Strength 5/5 throughout, except in the deltoid, to be settled"),
        (["power five throughout", "right biceps um"],
         "Strength 5/5 throughout, except in the right biceps, to be settled"),
        (["coordination intact except left finger to nose"],
         "Coordination normal, except left finger to nose, to be settled"),
        (["strength five throughout but the right blorb four"],
         'Strength 5/5 throughout, except "right blorb four", to be settled'),
        (["strength five in the neck flexors, triceps five bilaterally, left arm five",
          "left grip um"],
         "Strength 5/5 in the left arm, except in the left grip, to be settled; "
         "5/5 in the neck flexors and in the triceps bilaterally"),
        (["reflexes two plus throughout", "ankle jerks absent bilaterally", "ankle jerks"],
         "Reflexes 2+ throughout, except absent at the ankles bilaterally"),
        # an exception follows its own site
        (["five out of five in the legs and in the left biceps except left knee extension four"],
         "Strength 5/5 in the legs bilaterally, except 4/5 in the left knee extensors; "
         "5/5 in the left biceps"),
        # what was said of no side and of both
        (["toes down bilaterally", "no Babinski"], "Plantar response flexor bilaterally"),
        # details that change what they stand beside
        (["left plantar: only extensor"], "Plantar response only extensor on the left"),
        (["better than three out of five in the left grip"],
         "Strength better than 3/5 in the left grip"),
        (["tone slightly increased in both legs, more on the right"],
         "Tone slightly increased in the legs bilaterally (more on the right)"),
        (["reflexes are two plus, slightly brisker on the left"],
         "Reflexes 2+ throughout (slightly brisker on the left)"),
        (["no tremor at rest"], "No tremor at rest"),
        (["Romberg positive with eyes open"], "Romberg positive with eyes open"),
        (["no sustained clonus at the ankles"], "No sustained clonus at the ankles bilaterally"),
        (["no suicidal or homicidal ideation"],
         "Thought content normal (no suicidal or homicidal ideation)"),
        (["no significant weakness"], "Strength normal (nothing significant)"),
        (["tone increased in the left arm, otherwise normal"],
         "Tone increased in the left arm; otherwise normal"),
        (["the rest of the cranial nerves is normal"], "Cranial nerves normal (the rest)"),
        (["light touch less in the left hand than the right"],
         "Light touch reduced in the left hand (compared with the right)"),
        (["visual fields full to confrontation"], "Visual fields: normal to confrontation"),
    ],
)  # fmt: skip
def test_a_sentence_says_what_was_said(whole: Grammar, lines: list[str], sentence: str) -> None:
    assert sentence in _sentences(whole, *lines)


def test_a_question_about_another_place_excepts_nothing(whole: Grammar) -> None:
    assert _sentences(whole, "strength five in the right arm", "left biceps um") == [
        "Strength 5/5 in the right arm"
    ]


def test_an_exception_is_of_its_own_sentence(whole: Grammar) -> None:
    line = ("Joint position sense reduced in the right toes. Strength full. "
            "However the left blorb was four.")  # fmt: skip
    assert not any("settled" in text for text in _sentences(whole, line))


def test_an_answered_question_excepts_nothing(whole: Grammar) -> None:
    session = Session(whole, alone=True)
    session.hear(Utterance("u1", "sensation intact except the left foot"))
    session.answer(session.record().questions[0].id, "normal")
    texts = [
        s.text for x in write_sections(session.record(), whole) for p in x.paragraphs for s in p
    ]
    assert not any("settled" in text for text in texts)


def test_nothing_recorded_is_said_by_section_and_apart_from_what_was_said(whole: Grammar) -> None:
    note = write_note(_record(whole, "gait normal", "the window is open"), whole)
    assert '- "the window is open"' in note
    last = note.split("No finding recorded for: ")[1]
    assert last.startswith("mental status, cranial nerves, motor, reflexes, sensory, coordination")
    assert "Romberg" in last and "window" not in last
    assert len(last.split("\n\n")[0]) < 200


def test_a_question_left_open_stands_once(whole: Grammar) -> None:
    session = Session(whole, alone=True)
    session.hear(Utterance("u1", "ankle jerks"))
    session.answer(session.record().questions[0].id, "skip")
    note = write_note(session.record(), whole)
    assert note.count("Ankle reflexes: what did you find?") == 1
    assert "left open" in note


def test_nerve_tests_stand_in_their_own_section(whole: Grammar) -> None:
    lines = (
        "straight leg raise negative bilaterally",
        "Tinel positive at the left wrist",
        "light touch intact in both hands",
    )
    headings = [section.heading for section in write_sections(_record(whole, *lines), whole)]
    assert headings == ["Sensory", "Nerve stretch and percussion"]


@pytest.mark.parametrize(
    ("value", "details", "expected"),
    [
        ("5", ["Only"], Details(before=("only",))),
        ("not_tested", ["With pain"], Details(apart=("with pain",))),
        ("weak", ["no more than", "mild"], Details(apart=("no more than mild",))),
        ("5", ["slightly", "weaker on the left"], Details(apart=("slightly weaker on the left",))),
        ("5", ["with pain", "giveaway"], Details(after=("with pain",), apart=("giveaway",))),
    ],
)
def test_where_details_stand(
    whole: Grammar, value: str, details: list[str], expected: Details
) -> None:
    assert arrange(whole, "strength", value, details) == expected


def test_a_word_for_another_value_is_quoted(whole: Grammar) -> None:
    finding = Finding("coordination", None, None, "normal", ("absent",), True)
    assert finding_phrase(whole, finding) == 'Coordination normal (said with "absent")'


def test_a_name_keeps_its_capital(whole: Grammar) -> None:
    finding = Finding("speech", None, None, "aphasic", ("Broca",), False)
    assert finding_phrase(whole, finding).endswith("(Broca)")


def test_every_finding_is_still_in_one_sentence_where_questions_are_open(whole: Grammar) -> None:
    lines = ("strength five in the neck flexors, triceps five bilaterally, left arm five",
             "left grip um", "cranial nerves intact", "right visual acuity um")  # fmt: skip
    record = _record(whole, *lines)
    said = [
        finding
        for section in write_sections(record, whole)
        for paragraph in section.paragraphs
        for sentence in paragraph
        for finding in sentence.findings
    ]
    assert len(record.questions) == 2
    assert sorted(map(repr, said)) == sorted(map(repr, record.findings))


def test_a_question_that_can_only_agree_excepts_nothing(whole: Grammar) -> None:
    assert "Strength 5/5 throughout" in _sentences(
        whole, "strength five throughout", "deltoid five out of five"
    )


def test_a_question_without_a_test_is_of_the_test_that_was_spoken_of_last(whole: Grammar) -> None:
    lines = ("tone normal", "power five throughout", "right arm", "light touch normal")
    utterances = tuple(Utterance(f"u{n}", line, kind="finding") for n, line in enumerate(lines))

    def place(number: int) -> tuple[Place, ...]:
        return (Place(f"u{number}", 0, len(lines[number])),)

    findings = (
        Finding("tone", "all", None, "normal", (), True, place(0)),
        Finding("strength", "all", None, "5", (), True, place(1)),
        Finding("light_touch", "all", None, "normal", (), True, place(3)),
    )
    asked = Question("q1", "value", place(2), "Right arm: what did you find?")
    record = Record(findings, (asked,), utterances)
    texts = [s.text for x in write_sections(record, whole) for p in x.paragraphs for s in p]
    assert texts == [
        "Tone normal",
        "Strength 5/5 throughout, except in the right arm, to be settled",
        "Light touch normal",
    ]
