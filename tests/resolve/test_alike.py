"""A list that lacks one thing is asked about once (the contract: one statement, one question)."""

from __future__ import annotations

import pytest

from .narrated import findings, narrated


@pytest.mark.parametrize("side", ["right", "left", "both"])
def test_one_answer_is_for_the_whole_list(side: str) -> None:
    session = narrated("Deltoid five, biceps four with effort, wrist flexors three.")
    (question,) = session.record().questions
    assert question.kind == "side"
    assert question.prompt.startswith("Deltoid, biceps and wrist flexors strength:")
    assert session.record().findings == ()
    session.answer(question.id, side)
    sides = ("right", "left") if side == "both" else (side,)
    said = (("deltoid", "5"), ("biceps", "4"), ("wrist_flexion", "3"))
    assert findings(session.record()) == {("strength", m, s, v) for m, v in said for s in sides}
    assert session.record().questions == ()


def test_what_was_found_between_two_parts_them() -> None:
    said = "Deltoid four. Left biceps jerk brisk. Finger extension five."
    session = narrated(said)
    first, second = session.record().questions
    session.answer(first.id, "right")
    assert ("strength", "deltoid", "right", "4") in findings(session.record())
    assert session.record().questions == (second,)


def test_two_utterances_are_two_questions() -> None:
    assert len(narrated("Deltoid five.", "Biceps four plus of five.").record().questions) == 2


def test_a_correction_reaches_its_own_statement_alone() -> None:
    session = narrated("Deltoid five, wrist flexors three.", "Correction, four.")
    offered = [
        (f.site, f.value)
        for question in session.record().questions
        for choice in question.choices
        for f in choice.findings
    ]
    assert set(offered) == {("deltoid", "5"), ("wrist_flexion", "4")}


def test_which_test_it_was_is_asked_once() -> None:
    session = narrated("Biceps four right, biceps four left.")
    (question,) = session.record().questions
    assert question.kind == "test"
    session.answer(question.id, "strength")
    assert findings(session.record()) == {("strength", "biceps", s, "4") for s in ("right", "left")}
