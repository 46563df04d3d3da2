"""The stage between what is proposed and the record: every word accounted for, or a question."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.decide.features import NAMES
from dictate.decide.stage import Verdict, stage_of
from dictate.grammar import load_grammar
from dictate.interpret.tokens import norms
from dictate.model import Record, Utterance
from dictate.resolve.questions import NONE
from dictate.session import Session

GRAMMAR = load_grammar()
#: Words that are no words of English and no sound of one.
NONSENSE = ("flurbing", "zorbic", "quibbled", "vrang")
STATEMENTS = (
    "right deltoid four",
    "left pronator drift",
    "tone increased in the right arm",
    "no clonus at the left ankle",
    "gait ataxic",
)


def _record(*lines: str) -> Record:
    session = Session(GRAMMAR, alone=True)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


def _verdicts(line: str) -> list[Verdict]:
    stage, seen = stage_of(GRAMMAR), list[Verdict]()
    stage.watch = lambda proposal, verdict: seen.append(verdict)
    try:
        _record(line)
    finally:
        stage.watch = None
    return seen


@pytest.mark.parametrize("said", STATEMENTS)
@pytest.mark.parametrize("word", NONSENSE)
def test_a_word_that_nobody_knows_makes_a_question_wherever_it_stands(said: str, word: str) -> None:
    words = said.split()
    assert len(_record(said).findings) == 1
    for at in range(len(words) + 1):
        record = _record(" ".join([*words[:at], word, *words[at:]]))
        assert not record.findings, (at, word)


def test_its_question_quotes_it_and_offers_what_was_meant_and_none() -> None:
    (question,) = _record("right deltoid flurbing four").questions
    assert "flurbing" in question.prompt
    first, *_, last = question.choices
    assert [(f.test, f.site, f.side, f.value) for f in first.findings] == [
        ("strength", "deltoid", "right", "4")
    ]
    assert last.label == NONE and not last.findings


def test_none_of_these_settles_it_without_a_finding() -> None:
    session = Session(GRAMMAR, alone=True)
    session.take(Utterance("u1", "right deltoid flurbing four"))
    session.answer("q1", NONE)
    assert session.record().questions == () and session.record().findings == ()


def test_what_was_meant_settles_it_with_its_finding() -> None:
    session = Session(GRAMMAR, alone=True)
    session.take(Utterance("u1", "right deltoid flurbing four"))
    session.answer("q1", session.record().questions[0].choices[0].label)
    assert [(f.site, f.value) for f in session.record().findings] == [("deltoid", "4")]


@given(
    st.sampled_from(sorted(GRAMMAR.harmless.words())), st.sampled_from(["deltoid four", "drift"])
)
def test_a_harmless_word_changes_nothing(word: str, said: str) -> None:
    with_it, without = _record(f"the right {word} {said}"), _record(f"the right {said}")
    rows = [[(f.test, f.site, f.side, f.value) for f in r.findings] for r in (with_it, without)]
    assert rows[0] == rows[1]


def test_no_harmless_word_turns_a_statement_round() -> None:
    speech, sides = GRAMMAR.speech, GRAMMAR.sides
    turning = [
        *speech.negation.before, *speech.negation.after, *speech.doubt, *speech.exception,
        *speech.contrast, *speech.correction.replace, *speech.correction.take_back,
        *speech.talk.elsewhere, *speech.talk.reported, *speech.not_done.not_tested,
        *speech.not_done.unable, *sides.right, *sides.left, *sides.both,
        *(form for forms in GRAMMAR.numbers.numbers.values() for form in forms),
    ]  # fmt: skip
    single = {form.lower() for form in turning if len(norms(form)) == 1}
    harmless = GRAMMAR.harmless.words()
    assert not harmless & single


def test_every_weight_speaks_against_a_statement() -> None:
    weights = GRAMMAR.deciding.weights
    assert weights and set(weights) <= set(NAMES)
    assert all(weight >= 0 for weight in weights.values())


def test_one_more_doubt_never_makes_it_surer() -> None:
    plain, strange = _verdicts("right deltoid four"), _verdicts("right deltoid flurbing four")
    worse = _verdicts("right deltoid flurbing zorbic four")
    assert plain[0].risk < strange[0].risk <= worse[0].risk
    assert plain[0].record and not strange[0].record


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("right deltoid four", []),
        ("right deltoid flurbing four", [("flurbing", "inside")]),
        ("flurbing right deltoid four", [("flurbing", "beside")]),
        ("no drift, rash or tremor", [("rash", "joined")]),
        ("smell intact to vanilla", []),
    ],
)
def test_what_is_left_over_and_where(said: str, words: list[tuple[str, str]]) -> None:
    stage, seen = stage_of(GRAMMAR), list[tuple[str, str]]()
    stage.watch = lambda proposal, verdict: seen.extend(
        (proposal.reading.text(one.span), one.where) for one in verdict.left
    )
    try:
        _record(said)
    finally:
        stage.watch = None
    assert sorted(seen) == sorted(words)


@pytest.mark.parametrize(
    "said",
    [
        "left deltoid weakness not enough", "the left facial weakness is not impressive",
        "left drift not remarkable", "the tremor of the left hand is not interesting",
    ],
)  # fmt: skip
def test_a_denial_of_a_harmless_word_denies_nothing_else(said: str) -> None:
    session = Session(GRAMMAR)
    session.take(Utterance("u1", "gag present"))
    session.take(Utterance("u2", said))
    assert len(session.record().findings) == 1
    assert session.record().questions


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("gowers is positive, off the floor", ("gowers", None, None, "present")),
        ("visual fields full by confrontation", ("visual_fields", None, None, "normal")),
        ("frankly the right plantar is extensor, mind you", ("plantar", None, "right", "extensor")),
        ("tone normal on the couch, bless him", ("tone", "all", None, "normal")),
        ("light touch normal with a cotton wisp", ("light_touch", "all", None, "normal")),
    ],
)
def test_both_readers_pass_over_the_same_words(said: str, found: tuple[str | None, ...]) -> None:
    session = Session(GRAMMAR)
    session.take(Utterance("u1", said))
    got = [(f.test, f.site, f.side, f.value) for f in session.record().findings]
    assert got == [found] and session.record().questions == ()
