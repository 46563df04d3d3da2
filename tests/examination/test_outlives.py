"""Decisions by hand are about words, test, site and side: they outlive a new
reading, or are asked about."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import UsageError
from dictate.examination import Examination
from dictate.examination.narration import Narration
from dictate.model import Utterance, Word

from .conftest import rows, same_when_read


def of(x: Examination, site: str):
    return next(f for f in x.live().findings if f.site == site)


def test_a_decision_whose_words_are_gone_is_asked_about_and_holds_for_nothing(begin):
    x = begin("right deltoid four", "left biceps five")
    x.change(of(x, "biceps"), value="4")
    x.correct("u2", "left triceps five")
    assert rows(x.live()) == [("deltoid", "right", "4"), ("triceps", "left", "5")]
    (question,) = x.live().questions
    assert "biceps 4/5" in question.prompt and [c.label for c in question.choices] == ["yes", "no"]
    same_when_read(x)
    x.answer(question.id, "yes")
    assert ("biceps", "left", "4") in rows(x.live())
    x.undo()
    x.answer(question.id, "no")
    assert rows(x.live()) == [("deltoid", "right", "4"), ("triceps", "left", "5")]
    assert x.live().questions == ()
    same_when_read(x)


def test_where_the_words_give_another_value_now_it_is_asked_which_holds(begin):
    x = begin("left biceps five")
    x.change(of(x, "biceps"), value="4")
    x.correct("u1", "left biceps strength three")
    assert rows(x.live()) == []
    (question,) = x.live().questions
    assert question.kind == "conflict"
    x.answer(question.id, "4")
    assert rows(x.live()) == [("biceps", "left", "4")]


def test_where_the_words_say_now_what_was_decided_nothing_is_asked(begin):
    x = begin("left biceps five", "deltoid three")
    x.change(of(x, "biceps"), value="4")
    x.answer(x.live().questions[0].id, "right")
    x.correct("u1", "left biceps strength four")
    x.correct("u2", "right deltoid three")
    assert rows(x.live()) == [("biceps", "left", "4"), ("deltoid", "right", "3")]
    assert x.live().questions == ()


def test_a_correction_elsewhere_leaves_decisions_alone_though_questions_are_numbered_anew(begin):
    x = begin("knee jerk two plus", "deltoid three", "left biceps five")
    first, second = x.live().questions
    x.answer(second.id, "right")
    x.change(of(x, "biceps"), value="4")
    x.correct("u1", "left knee jerk two plus")
    assert sorted(rows(x.live())) == [
        ("biceps", "left", "4"), ("deltoid", "right", "3"), ("knee", "left", "2+"),
    ]  # fmt: skip
    assert x.live().questions == () and (first.id, second.id) == ("q1", "q2")
    same_when_read(x)


def test_taken_out_it_stays_out_and_is_asked_where_other_words_say_it(begin):
    x = begin("left biceps five", "he keeps bees")
    x.take_out(of(x, "biceps"))
    x.correct("u2", "right deltoid four")
    assert rows(x.live()) == [("deltoid", "right", "4")]
    x.correct("u1", "left biceps muscle five")
    (question,) = x.live().questions
    assert rows(x.live()) == [("deltoid", "right", "4")] and "taken out" in question.prompt


# ---- a narration that is read anew


def read(folder: Path, *said: Utterance | str) -> Examination:
    narration = Narration(folder, None)
    for number, one in enumerate(said, 1):
        narration.take(one if isinstance(one, Utterance) else Utterance(f"u{number}", one))
    return narration.finish()


def spoken(number: int, text: str, start: float) -> Utterance:
    """Each word takes half a second."""
    words, at = [], 0
    for i, word in enumerate(text.split()):
        words.append(Word(word, at, at + len(word), start + i / 2, start + i / 2 + 0.4, 0.9))
        at += len(word) + 1
    return Utterance(f"u{number}", text, start, start + len(words) / 2, tuple(words))


def test_a_new_reading_takes_the_place_of_the_old_and_decisions_stay(folder):
    with read(folder, "right deltoid four", "left biceps five", "knee jerk two plus") as x:
        x.change(of(x, "biceps"), value="4")
        x.answer(x.live().questions[0].id, "left")
        x.put("gait", None, None, "ataxic")
    # a statement more at the start, one that reads otherwise, the others as they were
    with read(
        folder, "tone normal", "right deltoid three", "left biceps five", "knee jerk two plus"
    ) as x:
        assert rows(x.live()) == [
            ("all", None, "normal"), ("deltoid", "right", "3"), ("biceps", "left", "4"),
            ("knee", "left", "2+"), (None, None, "ataxic"),
        ]  # fmt: skip
        assert x.live().questions == ()
        same_when_read(x)


def test_in_sound_the_seconds_say_what_is_the_same(folder):
    with read(folder, spoken(1, "left biceps five", 1.0), spoken(2, "left deltas four", 4.0)) as x:
        x.change(of(x, "biceps"), value="4")
        x.correct("u2", "left deltoid four")
    with read(
        folder, spoken(1, "good morning", 0.0), spoken(2, "left biceps five", 1.2),
        spoken(3, "left dell toys for", 4.0),
    ) as x:  # fmt: skip
        assert rows(x.live()) == [("biceps", "left", "4"), ("deltoid", "left", "4")]
        assert x.live().questions == ()
        same_when_read(x)
    # elsewhere in the recording the same words are other words
    with read(folder, spoken(1, "good morning", 0.0), spoken(2, "left biceps five", 31.2)) as x:
        prompts = [question.prompt for question in x.live().questions]
        assert len(prompts) == 2 and rows(x.live()) == []
        assert any("4/5" in p for p in prompts) and any("left deltoid four" in p for p in prompts)
        same_when_read(x)


def test_a_reading_that_was_broken_off_counts_for_nothing(folder):
    with read(folder, "left biceps five") as x:
        x.change(of(x, "biceps"), value="4")
        before = x.live()
    narration = Narration(folder, None)
    narration.take(Utterance("u1", "right deltoid three"))
    narration.abandon()
    with Examination.open(folder) as x:
        assert x.live() == before
        x.type("gait ataxic")
        assert rows(x.live()) == [("biceps", "left", "4"), (None, None, "ataxic")]
        same_when_read(x)


def test_a_first_reading_that_could_not_be_made_leaves_nothing(folder):
    Narration(folder, None).abandon()
    assert not folder.exists()


def test_what_is_signed_or_dictated_is_not_read_over(folder, tmp_path):
    with read(folder, "left biceps five") as x:
        x.sign("A. Example")
    with pytest.raises(UsageError, match="signed"):
        Narration(folder, None)
    with Examination.create(tmp_path / "dictation", "listen"):
        pass
    with pytest.raises(UsageError, match="a dictation"):
        Narration(tmp_path / "dictation", None)


def test_an_answer_stays_with_its_own_statement_where_two_are_asked_alike(begin):
    """Both are asked "Deltoid strength: right, left or both?", and numbers are given anew."""
    x = begin("he keeps bees", "deltoid four", "gait ataxic", "deltoid five")
    first, second = x.live().questions
    assert first.prompt == second.prompt
    x.answer(second.id, "left")
    x.correct("u1", "knee jerk two plus")
    assert ("deltoid", "left", "5") in rows(x.live())
    assert ("deltoid", "left", "4") not in rows(x.live())
    assert len(x.live().questions) == 2
    same_when_read(x)


def test_of_two_statements_in_the_same_words_an_answer_stays_with_its_own(begin):
    x = begin("he keeps bees", "five on the left", "gait ataxic", "five on the left")
    first, second = x.live().questions
    x.answer(second.id, "triceps")
    x.correct("u1", "knee jerk two plus")
    (finding,) = [f for f in x.live().findings if f.site == "triceps"]
    assert {place.utterance for place in finding.said} >= {"u4"}
    assert "u2" in {place.utterance for q in x.live().questions for place in q.about}
    assert first.id != second.id
    same_when_read(x)


def test_read_anew_what_was_said_twice_in_the_same_words_is_asked_about(folder):
    said = ["he keeps bees", "five on the left", "gait ataxic", "five on the left"]
    with read(folder, *said) as x:
        x.answer(x.live().questions[1].id, "triceps")
        x.correct("u4", "left triceps five out of five")
    with read(folder, "tone normal", *said) as x:
        assert ("triceps", "left", "5") not in rows(x.live())
        prompts = [question.prompt for question in x.live().questions]
        assert sum("triceps" in prompt for prompt in prompts) >= 1
        same_when_read(x)
