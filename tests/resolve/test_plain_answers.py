"""Answers that every question takes, typed and said alike; and words that are no answer."""

from __future__ import annotations

import pytest

from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.interpret.reader import reader_of
from dictate.model import Question, Utterance
from dictate.resolve.answering import answer_in
from dictate.resolve.plain_answers import hints
from dictate.session import Session

GRAMMAR = load_grammar()
READER = reader_of(GRAMMAR)

ASKED = {
    "side": ["deltoid four of five"],
    "value": ["right deltoid is"],
    "scale": ["right deltoid six of five"],
    "conflict": ["right knee jerk two plus", "right knee jerk three plus"],
    "test": ["right biceps two"],
    "site": ["five on the left"],
}
#: Questions about one test at one site.
OF_ONE = ["side", "value", "scale", "conflict"]


def opened(kind: str, say: list[str] | None = None) -> tuple[Session, Question]:
    session = Session(GRAMMAR, alone=True)
    for number, text in enumerate(say or ASKED[kind], 1):
        session.hear(Utterance(f"u{number}", text))
    (question,) = session.record().questions
    assert question.kind == kind
    return session, question


def rows(session: Session) -> list[tuple[str, str | None, str | None, str]]:
    return [(f.test, f.site, f.side, f.value) for f in session.record().findings]


@pytest.mark.parametrize("kind", OF_ONE)
@pytest.mark.parametrize(
    ("words", "value", "detail"),
    [
        ("not tested", "not_tested", ()),
        ("could not get it", "unable", ()),
        ("Could not be tested because of the cast.", "unable", ("cast",)),
    ],
)
def test_a_part_that_was_not_done_is_said_so(kind, words, value, detail):
    """The contract: not_tested and unable never need a side; the reason is the detail."""
    session, question = opened(kind)
    assert answer_in(Utterance("a", words), question, READER, GRAMMAR) is not None
    (finding,) = session.answer(question.id, words).added
    assert (finding.value, finding.detail, finding.normal) == (value, detail, None)
    assert finding.said == question.about
    assert session.record().questions == ()


@pytest.mark.parametrize("kind", ["test", "site"])
def test_where_it_is_not_known_what_was_not_done_it_is_no_answer(kind):
    session, question = opened(kind)
    before = session.record()
    with pytest.raises(UsageError, match="does not answer"):
        session.answer(question.id, "not tested")
    assert session.record() == before


def test_not_done_of_both_sides_is_both():
    session, question = opened("value", ["deltoids are, um"])
    session.answer(question.id, "not tested")
    assert rows(session) == [
        ("strength", "deltoid", "right", "not_tested"),
        ("strength", "deltoid", "left", "not_tested"),
    ]


@pytest.mark.parametrize("kind", list(ASKED))
@pytest.mark.parametrize("words", ["not sure", "I'm not sure.", "I don't know", "skip it", "pass"])
def test_who_is_not_sure_leaves_it_open(kind, words):
    session, question = opened(kind)
    before = session.record().findings
    assert answer_in(Utterance("a", words), question, READER, GRAMMAR) == "skip"
    session.answer(question.id, words)
    assert session.record().questions == (question,)
    assert session.record().findings == before


@pytest.mark.parametrize("kind", ["side", "test"])
def test_neither_settles_it_without_a_finding(kind):
    session, question = opened(kind)
    session.answer(question.id, "neither of them")
    assert session.record().findings == () and session.record().questions == ()
    assert [change.question for change in session.record().history] == [question]


def test_of_two_values_neither_is_asked_what_it_was():
    session, question = opened("conflict")
    session.answer(question.id, "neither")
    (other,) = session.record().questions
    assert other.kind == "value" and session.record().findings == ()
    session.answer(other.id, "one plus")
    assert rows(session) == [("stretch_reflex", "knee", "right", "1+")]


@pytest.mark.parametrize("kind", ["value", "scale", "site"])
def test_where_no_two_things_were_offered_neither_says_nothing(kind):
    session, question = opened(kind)
    with pytest.raises(UsageError):
        session.answer(question.id, "neither")
    assert session.record().questions == (question,)


@pytest.mark.parametrize(("words", "side"), [("l", "left"), ("R", "right"), (" l. ", "left")])
def test_a_letter_is_a_side(words, side):
    session, question = opened("side")
    session.answer(question.id, words)
    assert rows(session) == [("strength", "deltoid", side, "4")]


@pytest.mark.parametrize("kind", ["value", "scale", "conflict", "test", "site"])
@pytest.mark.parametrize("words", ["l", "r"])
def test_where_no_side_is_asked_a_side_is_no_answer(kind, words):
    session, question = opened(kind)
    with pytest.raises(UsageError):
        session.answer(question.id, words)
    assert session.record().questions == (question,)


COMA = ["Glasgow coma scale fourteen: eyes four, verbal four, motor five"]


@pytest.mark.parametrize(
    "words", ["eyes four, verbal four, motor six", "E4 V4 M6", "e4v4m6", "eyes 4 verbal 4 motor 6"]
)
@pytest.mark.parametrize(
    ("kind", "say"), [("conflict", COMA), ("value", ["Glasgow coma scale is, um"])]
)
def test_a_coma_scale_is_answered_by_its_parts(words, kind, say):
    """Teasdale and Jennett 1974; the total is the sum of its parts."""
    session, question = opened(kind, say)
    session.answer(question.id, words)
    (finding,) = session.record().findings
    assert (finding.value, finding.detail) == ("14", ("E4", "V4", "M6"))


def test_parts_of_which_one_is_missing_or_too_large_are_no_answer():
    for words in ("E4 V4", "eyes five, verbal four, motor six"):
        session, question = opened("conflict", COMA)
        with pytest.raises(UsageError):
            session.answer(question.id, words)
        assert session.record().questions == (question,)


def test_who_chooses_the_total_keeps_no_parts_that_contradict_it():
    session, question = opened("conflict", COMA)
    session.answer(question.id, "14")
    assert [(f.value, f.detail) for f in session.record().findings] == [("14", ())]
    session, question = opened("conflict", COMA)
    session.answer(question.id, "13")
    assert [f.detail for f in session.record().findings] == [("E4", "V4", "M5")]


@pytest.mark.parametrize("kind", list(ASKED))
@pytest.mark.parametrize("words", ["banana", "left deltoid four plus", "7", "yes", "("])
def test_words_that_are_no_answer_lose_nothing(kind, words):
    session, question = opened(kind)
    before = session.record()
    with pytest.raises(UsageError, match=r"does not answer|takes"):
        session.answer(question.id, words)
    assert session.record() == before


def test_what_may_be_said_is_told_in_words_that_are_taken():
    for kind in ASKED:
        session, question = opened(kind)
        for words in hints(question, GRAMMAR):
            again, same = opened(kind)
            again.answer(same.id, words)
        assert session.record().questions == (question,)


@pytest.mark.parametrize("kind", list(ASKED))
@pytest.mark.parametrize("words", ["?", "help", "What can I say?"])
def test_help_tells_what_may_be_said_and_settles_nothing(kind, words):
    session, question = opened(kind)
    before = session.record()
    with pytest.raises(UsageError) as told:
        session.answer(question.id, words)
    assert session.record() == before
    for part in (*(choice.label for choice in question.choices), *hints(question, GRAMMAR)):
        assert part in str(told.value)


def test_a_scale_without_parts_is_not_answered_by_parts():
    session = Session(GRAMMAR)
    session.hear(Utterance("u1", "modified Rankin scale"))
    (question,) = session.record().questions
    assert all(hints(question, GRAMMAR))
    session.answer(question.id, "3")
    assert [f.value for f in session.record().findings] == ["3"]


NOT_MEANT = {
    "side": [
        "not the left",
        "i think left",
        "left?",
        "banana left",
        "possibly both",
        "left triceps",
    ],
    "value": ["not four", "maybe four", "four banana", "no increase", "left four", "triceps four"],
    "scale": ["not four", "left deltoid four", "maybe four"],
    "site": ["not the deltoid", "deltoid or biceps", "deltoid banana", "right deltoid"],
    "test": ["not strength", "strength banana", "perhaps strength"],
    "conflict": ["not two plus", "maybe two plus", "left two plus"],
}


@pytest.mark.parametrize(("kind", "words"), [(k, w) for k, ws in NOT_MEANT.items() for w in ws])
def test_what_is_denied_doubted_or_of_something_else_is_no_answer(kind, words):
    """Taken for one it would be a finding that nobody stated."""
    session, question = opened(kind)
    before = session.record()
    with pytest.raises(UsageError, match="does not answer"):
        session.answer(question.id, words)
    assert session.record() == before


def test_a_word_of_value_may_be_denied():
    session, question = opened("value", ["right arm tone is"])
    session.answer(question.id, "not increased")
    assert rows(session) == [("tone", "upper_limb", "right", "normal")]


def test_an_answer_may_repeat_what_it_is_about():
    session, question = opened("value")
    session.answer(question.id, "right deltoid four plus")
    assert rows(session) == [("strength", "deltoid", "right", "4+")]
