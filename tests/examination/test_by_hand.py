"""What is done by hand: corrected, sorted, changed, added, taken out, answered, undone."""

from __future__ import annotations

import re

import pytest

from dictate.errors import UsageError
from dictate.examination import Examination, key_of, key_of_question
from dictate.model import Disputed, Hearing, Utterance, Word

from .conftest import rows, same_when_read


def of(examination: Examination, site: str, side: str | None = None):
    return next(f for f in examination.live().findings if (f.site, f.side) == (site, side))


def test_words_put_right_are_read_at_once_and_all_that_follows_with_them(begin):
    x = begin("right arm", "deltoid four", "same on the other side")
    assert ("deltoid", "left", "4") in rows(x.live())
    heard = x.correct("u2", "deltoid four plus")
    assert rows(x.live()) == [("deltoid", "right", "4+"), ("deltoid", "left", "4+")]
    assert {f.value for f in heard.added} == {"4+"} and {f.value for f in heard.removed} == {"4"}
    said = x.live().utterances[1]
    assert (said.id, said.text, said.hand) == ("u2", "deltoid four plus", "corrected")
    assert said.hearings[0].text == "deltoid four"
    same_when_read(x)


def test_words_that_stay_keep_their_times_and_no_doubt_of_the_recogniser_is_left(folder):
    words = tuple(
        Word(text, start, start + len(text), at, at + 0.4, sure)
        for text, start, at, sure in [("left", 0, 1.0, 0.9), ("delta", 5, 1.5, 0.2),
                                      ("four", 11, 2.0, 0.9)]
    )  # fmt: skip
    x = Examination.create(folder)
    x.hear(Utterance("u1", "left delta four", 1.0, 2.4, words))
    assert rows(x.live()) == []
    x.correct("u1", "left deltoid four")
    (finding,) = x.live().findings
    assert (finding.site, finding.side, finding.value) == ("deltoid", "left", "4")
    assert finding.said[0].start_s == 1.0 and finding.said[-1].end_s == 2.4
    assert finding.checked is None
    times = [(word.text, word.start_s, word.end_s) for word in x.live().utterances[0].words]
    assert times == [("left", 1.0, 1.4), ("deltoid", 1.5, 1.9), ("four", 2.0, 2.4)]


@pytest.mark.parametrize(
    ("kind", "left"),
    [("remark", 0), ("to_patient", 0), ("by_patient", 0), ("command", 0), ("finding", None)],
)
def test_a_finding_marked_as_talk_is_none(begin, kind, left):
    x = begin("left biceps five")
    if left is None:
        with pytest.raises(UsageError, match="already"):
            x.sort("u1", kind)
        return
    x.sort("u1", kind)
    assert rows(x.live()) == [] and x.live().utterances[0].kind == kind
    same_when_read(x)
    x.sort("u1", "finding")
    assert rows(x.live()) == [("biceps", "left", "5")]


def test_talk_marked_as_a_finding_is_read_as_one(begin):
    x = begin("he says his left biceps is five", "he keeps bees")
    assert rows(x.live()) == [] and x.live().questions == ()
    x.sort("u1", "finding")
    assert rows(x.live()) == [("biceps", "left", "5")]
    x.sort("u2", "finding")
    (question,) = x.live().questions
    assert "he keeps bees" in question.prompt and rows(x.live()) == [("biceps", "left", "5")]
    x.answer(question.id, "no")
    assert x.live().questions == ()
    same_when_read(x)


def test_a_changed_finding_cites_what_was_chosen_and_the_old_one_stays_in_the_history(begin):
    x = begin()
    old = of(x, "biceps", "left")
    x.change(old, value="4-")
    new = of(x, "biceps", "left")
    assert new.value == "4-" and new.said[:-1] == old.said
    cited = next(u for u in x.live().utterances if u.id == new.said[-1].utterance)
    assert cited.hand == "added" and "4-" in cited.text
    assert cited.text[new.said[-1].start : new.said[-1].end] == cited.text
    assert [c.finding for c in x.live().history if c.utterance == cited.id] == [old]
    same_when_read(x)


def test_every_finding_by_hand_can_be_traced(begin):
    """Contract, 10: every finding can be traced to the words that gave it."""
    x = begin()
    x.put("plantar", None, "right", "extensor")
    x.type("left knee jerk three plus")
    x.answer(x.live().questions[0].id, "left")
    x.change(of(x, "biceps", "left"), value="4")
    texts = {u.id: u.text for u in x.live().utterances}
    for finding in x.live().findings:
        assert finding.said
        for place in finding.said:
            assert 0 <= place.start < place.end <= len(texts[place.utterance])
    answered = of(x, "deltoid", "left")
    assert "left" in [texts[place.utterance] for place in answered.said]


def test_what_the_grammar_does_not_have_is_refused_and_changes_nothing(begin):
    x = begin()
    before, finding = x.live(), of(x, "biceps", "left")
    for wrong in (
        lambda: x.put("no_test", None, None, "5"),
        lambda: x.put("strength", "no_site", "left", "5"),
        lambda: x.put("strength", "deltoid", "left", "6"),
        lambda: x.put("strength", "deltoid", None, "5"),
        lambda: x.put("strength", None, "left", "5"),
        lambda: x.put("gait", None, "left", "normal"),
        lambda: x.put("glasgow_coma_scale", None, None, "14", ["E4", "V4", "M5"]),
        lambda: x.put("glasgow_coma_scale", None, None, "16"),
        lambda: x.put("pupil_size", None, "left", "thirty"),
        lambda: x.change(finding, value="extensor"),
        lambda: x.change(finding, side=""),
        lambda: x.change(finding),
        lambda: x.change("0123456789abcdef", value="4"),
        lambda: x.take_out("0123456789abcdef"),
        lambda: x.answer("q99", "left"),
        lambda: x.answer("q1", "banana"),
        lambda: x.correct("u99", "left deltoid four"),
        lambda: x.correct("u1", "  "),
        lambda: x.correct("u1", "right deltoid four"),
        lambda: x.sort("u1", "song"),
        lambda: x.type(" "),
        lambda: x.undo(),
        lambda: x.undo(2),
        lambda: x.redo(),
        lambda: x.name_patient(" "),
        lambda: x.sign(" "),
    ):
        lines = x.version
        with pytest.raises(UsageError):
            wrong()
        assert x.live() == before and x.version == lines
    same_when_read(x)


def test_an_addition_takes_no_side_from_what_was_spoken_and_lends_none(begin):
    x = begin("left arm")
    x.type("deltoid four")
    (question,) = x.live().questions
    assert question.kind == "side" and rows(x.live()) == []
    x.hear(Utterance("u2", "biceps five"))
    assert rows(x.live()) == [("biceps", "left", "5")]
    x.type("right arm")
    x.hear(Utterance("u3", "triceps five"))
    assert rows(x.live())[-1] == ("triceps", "left", "5")
    same_when_read(x)


def test_a_second_value_by_hand_is_asked_about(begin):
    """Contract: neither of two different values is a finding until it is answered."""
    x = begin("left biceps five")
    x.put("strength", "biceps", "left", "4")
    assert rows(x.live()) == [] and [q.kind for q in x.live().questions] == ["conflict"]
    x.answer(x.live().questions[0].id, "4")
    assert rows(x.live()) == [("biceps", "left", "4")]
    same_when_read(x)


def test_changing_a_side_onto_another_finding_is_asked_about(begin):
    x = begin("left biceps five", "right biceps strength four")
    x.change(of(x, "biceps", "left"), side="right")
    assert rows(x.live()) == []
    (question,) = x.live().questions
    assert [choice.label for choice in question.choices] == ["4", "5", "none of these"]


def test_taken_out_it_is_gone_and_in_the_history(begin):
    x = begin()
    old = of(x, "biceps", "left")
    assert x.take_out(key_of(old)).removed == (old,)
    assert old not in x.live().findings
    assert [c.what for c in x.live().history if c.finding == old] == ["taken_back"]
    same_when_read(x)


def test_what_is_said_later_still_corrects_what_was_changed_by_hand(begin):
    x = begin("left biceps five")
    x.change(of(x, "biceps", "left"), value="4")
    x.hear(Utterance("u2", "no, make that three"))
    assert rows(x.live()) == [("biceps", "left", "3")]
    same_when_read(x)


DEEDS = [
    lambda x: x.correct("u1", "right deltoid four plus"),
    lambda x: x.sort("u2", "remark"),
    lambda x: x.change(of(x, "deltoid", "right"), value="3"),
    lambda x: x.answer(x.live().questions[0].id, "left"),
    lambda x: x.put("gait", None, None, "ataxic"),
    lambda x: x.type("left knee jerk absent"),
    lambda x: x.take_out(of(x, "all", None)),
    lambda x: x.name_patient("bed seven"),
]


def test_undo_goes_back_step_by_step_and_redo_forward(begin):
    x = begin()
    states = [x.live()]
    for deed in DEEDS:
        deed(x)
        states.append(x.live())
        same_when_read(x)
    for state in reversed(states[:-1]):
        x.undo()
        assert x.live() == state
    with pytest.raises(UsageError, match="nothing to undo"):
        x.undo()
    for state in states[1:]:
        x.redo()
        assert x.live() == state
    with pytest.raises(UsageError):
        x.redo()
    same_when_read(x)
    assert [step.undone for step in x.steps()] == [False] * len(DEEDS)


def test_after_something_new_there_is_nothing_to_redo(begin):
    x = begin()
    x.type("left knee jerk absent")
    x.undo()
    x.type("gait ataxic")
    with pytest.raises(UsageError):
        x.redo()


def test_an_older_step_is_undone_by_its_number(begin):
    x = begin()
    x.put("gait", None, None, "ataxic")
    first = x.steps()[0].number
    x.type("left knee jerk absent")
    x.undo(first)
    assert ("knee", "left", "absent") in rows(x.live())
    assert "gait" not in {f.test for f in x.live().findings}
    assert [step.undone for step in x.steps()] == [True, False]


def test_what_was_done_is_told_in_sentences_without_ids(begin):
    x = begin()
    for deed in DEEDS:
        deed(x)
    told = [step.sentence for step in x.steps()]
    assert told[0] == "Corrected “right deltoid four” to “right deltoid four plus”."
    assert told[1] == "“left biceps five” is a remark."
    assert all(sentence.endswith(".") and "_" not in sentence for sentence in told)


def test_saying_that_it_is_a_finding_does_not_say_that_its_words_were_heard_right(folder):
    """Two listeners dispute the side: it is asked, also of what is marked as a finding."""
    text = "he says his left biceps is five"
    hearings = (Hearing("taught", text), Hearing("open", text.replace("left", "right")))
    words = tuple(
        Word(m.group(), m.start(), m.end(), m.start() / 10, m.end() / 10, 0.9)
        for m in re.finditer(r"\S+", text)
    )
    at = text.index("left")
    x = Examination.create(folder)
    x.hear(
        Utterance(
            "u1",
            text,
            0.0,
            3.0,
            words,
            None,
            hearings,
            (Disputed(at, at + 4, "right", "open", "other"),),
        )
    )
    assert rows(x.live()) == []
    x.sort("u1", "finding")
    assert rows(x.live()) == []
    (question,) = x.live().questions
    assert question.kind == "heard"
    assert {f.side for c in question.choices for f in c.findings} == {"right", "left"}
    same_when_read(x)


def test_another_total_lets_go_of_parts_that_do_not_add_up_to_it(begin):
    x = begin("GCS E4 V4 M6")
    x.change(x.live().findings[0], value="13")
    assert [(f.value, f.detail) for f in x.live().findings] == [("13", ())]


def test_an_answer_to_a_question_that_was_numbered_anew_meanwhile_is_for_its_own_or_for_none(begin):
    x = begin("he keeps bees", "deltoid four", "deltoid five")
    first, second = map(key_of_question, x.live().questions)
    x.correct("u1", "knee jerk two plus")
    assert [q.id for q in x.live().questions] == ["q1", "q2", "q3"]
    x.answer(second, "left")
    assert rows(x.live()) == [("deltoid", "left", "5")]
    x.correct("u2", "right deltoid four")
    before = x.live()
    with pytest.raises(UsageError, match="not any more"):
        x.answer(first, "left")
    assert x.live() == before
