"""What two listeners dispute is asked where a finding hangs on it, and only there."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.session import Session


def heard(number, text, *disputed, other=None, sure=1.0):
    """An utterance that both listeners heard; disputed: (word, instead, kind)."""
    words = tuple(
        Word(m.group(), m.start(), m.end(), m.start() / 10, m.end() / 10, sure, True)
        for m in re.finditer(r"[\w']+", text)
    )
    stretches = []
    for said, instead, kind in disputed:
        start = text.index(said) if said else 0
        stretches.append(Disputed(start, start + len(said), instead, "open", kind))
    hearings = (Hearing("taught", text), Hearing("open", other or text))
    return Utterance(
        f"u{number}", text, 0.0, len(text) / 10, words, hearings=hearings,
        disputed=tuple(stretches),
    )  # fmt: skip


def session(*utterances):
    made = Session(alone=True)
    for utterance in utterances:
        made.take(utterance)
    return made


def rows(record):
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


@pytest.mark.parametrize(("side", "other"), [("left", "right"), ("right", "left")])
def test_a_disputed_side_is_asked_with_both_readings(side, other):
    made = session(heard(1, f"{side} deltoid four", (side, other, "doubted")))
    record = made.record()
    assert record.findings == ()
    (question,) = record.questions
    assert question.kind == "heard"
    assert [[f.side for f in c.findings] for c in question.choices] == [[side], [other], []]
    assert question.prompt == f"Did you say “{side} deltoid four” or “{other} deltoid four”?"
    made.answer(question.id, "b")
    assert rows(made.record()) == [("strength", "deltoid", other, "4")]
    assert made.record().questions == ()


def test_what_was_spoken_far_away_is_asked_with_and_without_it():
    made = session(heard(1, "right neglect absent left", ("left", "", "far")))
    assert made.record().findings == ()
    (question,) = made.record().questions
    readings = [[(f.side, f.value) for f in c.findings] for c in question.choices]
    assert [("right", "absent")] in readings
    assert len(readings) == 3


def test_what_was_spoken_far_away_says_so():
    made = session(heard(1, "left deltoid four", ("left deltoid four", "", "far")))
    (question,) = made.record().questions
    assert question.prompt == (
        "“left deltoid four” was spoken far from the microphone. Is it your finding?"
    )
    made.answer(question.id, "yes")
    assert rows(made.record()) == [("strength", "deltoid", "left", "4")]


def test_findings_beside_far_words_that_mean_nothing_stand():
    made = session(heard(1, "gait ataxic, the left ankle", ("the left ankle", "", "far")))
    assert rows(made.record()) == [("gait", None, None, "ataxic")]
    assert made.record().questions == ()


def test_far_talk_is_not_asked_about():
    made = session(heard(1, "two coffees on the left", ("two coffees on the left", "", "far")))
    assert made.record().findings == made.record().questions == ()


def test_neither():
    made = session(heard(1, "left deltoid four", ("left", "right", "doubted")))
    made.answer(made.record().questions[0].id, "neither")
    assert made.record().findings == made.record().questions == ()


@pytest.mark.parametrize("instead", ["for", "fore"])
def test_what_comes_out_the_same_is_not_asked(instead):
    record = session(heard(1, "left deltoid four", ("four", instead, "other"))).record()
    assert rows(record) == [("strength", "deltoid", "left", "4")]
    assert record.questions == ()
    assert record.findings[0].checked is True


def test_only_the_statement_that_hangs_on_it_is_asked():
    said = heard(1, "left deltoid four, right biceps five", ("four", "well", "doubted"))
    record = session(said).record()
    assert rows(record) == [("strength", "biceps", "right", "5")]
    assert [q.kind for q in record.questions] == ["heard"]


def test_a_disputed_heading_holds_for_nothing():
    record = session(
        heard(1, "on the left", ("left", "right", "doubted")), heard(2, "deltoid four")
    ).record()
    assert record.findings == ()
    assert [q.kind for q in record.questions] == ["side"]


def test_a_correction_that_only_the_other_heard_puts_the_old_value_in_question():
    made = session(
        heard(1, "right biceps four out of five"),
        heard(2, "note three out of five", ("note", "no make that", "doubted")),
    )
    record = made.record()
    assert rows(record) == []
    choices = [c for q in record.questions for c in q.choices]
    assert {f.value for c in choices for f in c.findings} >= {"3", "4"}


def test_words_of_the_trade_in_talk_make_no_finding():
    said = heard(1, "take a seat on the right here", other="x")
    talk = Disputed(0, len(said.text), "right biceps five", "taught", "talk")
    record = session(replace(said, disputed=(talk,))).record()
    assert record.findings == ()
    assert record.questions == ()


def test_a_strange_word_in_the_midst_is_asked():
    record = session(heard(1, "the right deltoid margin four")).record()
    assert rows(record) == []
    assert [q.kind for q in record.questions] == ["heard"]


def test_a_statement_that_came_to_nothing_is_asked_for_again():
    said = heard(1, "glasses on the left", ("glasses", "justice", "doubted"))
    record = session(said).record()
    assert [q.kind for q in record.questions] == ["heard"]
    assert "say it again" in record.questions[0].prompt


def test_heard_by_one_listener_alone_is_marked_and_typed_text_is_not():
    alone = replace(heard(1, "left deltoid four"), hearings=())
    assert [f.checked for f in session(alone).record().findings] == [False]
    typed = Utterance("u1", "left deltoid four")
    assert [f.checked for f in session(typed).record().findings] == [None]


def test_a_correction_that_corrects_nothing_may_have_been_misheard():
    """ "No, tone normal" is easily heard with another name."""
    made = session(heard(1, "right arm tone increased"), heard(2, "no jaw normal"))
    assert rows(made.record()) == [("tone", "upper_limb", "right", "increased")]
    (question,) = made.record().questions
    assert question.kind == "heard"
    made.answer(question.id, "yes")
    assert ("jaw_strength", None, None, "normal") in rows(made.record())


def test_a_correction_of_what_was_said_is_one():
    made = session(heard(1, "right arm tone increased"), heard(2, "no tone normal"))
    assert rows(made.record()) == [("tone", "upper_limb", "right", "normal")]
    assert made.record().questions == ()
