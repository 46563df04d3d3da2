"""A third opinion on what the two readers do not agree on: what it may decide, and what not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from dictate.entail.pairs import Pair
from dictate.grammar import load_grammar
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Question, Record
from dictate.resolve.strange import key_of
from dictate.retell.words import Row

from .networks import Retells, Says, record_with

GRAMMAR = load_grammar()
LIMITS = GRAMMAR.deciding.weighing


def _record(monkeypatch: pytest.MonkeyPatch, weigher: Says | None, *lines: str) -> Record:
    return record_with(monkeypatch, weigher, None, *lines)


def _offered(question: Question) -> list[Finding]:
    return [finding for choice in question.choices for finding in choice.findings]


#: Lines of which one reader or its stage is not sure.
DOUBTED = [
    "The left arm is four out of five everywhere I try.",
    "Speech: staccato dysarthria.",
    "Gait with two helpers: wide based.",
]


@pytest.mark.parametrize("line", DOUBTED)
def test_what_it_is_sure_of_is_recorded(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    asked = _record(monkeypatch, None, line)
    assert asked.questions
    offered = _offered(asked.questions[0])
    assert offered
    sure = _record(monkeypatch, Says(-5.0, {_word(f): 20.0 for f in offered[:1]}), line)
    assert not sure.questions
    assert key_of(offered[0]) in [key_of(f) for f in sure.findings]


def _word(finding: Finding) -> str:
    return finding_phrase(GRAMMAR, replace(finding, detail=(), site_said=None))


@pytest.mark.parametrize("line", DOUBTED)
def test_what_it_is_not_sure_of_stays_a_question(
    monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    asked = _record(monkeypatch, None, line)
    for number in (0.0, LIMITS.offered - 0.1, LIMITS.unsaid):
        assert _record(monkeypatch, Says(number), line).questions == asked.questions


@pytest.mark.parametrize("line", DOUBTED)
def test_what_it_was_not_taught_stays_a_question(
    monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    asked = _record(monkeypatch, None, line)
    weigher = Says(9.0, known=False)
    assert _record(monkeypatch, weigher, line) == asked
    assert not weigher.asked


@pytest.mark.parametrize("line", DOUBTED)
def test_where_it_fails_it_is_asked(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    class Fails(Says):
        def weigh(self, pairs: Sequence[Pair]) -> list[float]:
            raise RuntimeError("out of memory")

    assert _record(monkeypatch, Fails(9.0), line) == _record(monkeypatch, None, line)


#: Two statements; and what else the network tells the line as.
TWO = "Right deltoid four, right biceps five."
ELSE: Row = ("tone", "upper_limb", "right", "normal")


def _doubting(
    monkeypatch: pytest.MonkeyPatch, number: float, *lines: str, likely: float = 0.99
) -> Record:
    """With a network that denies all of it by so much, and one that tells something else."""
    return record_with(monkeypatch, Says(number), Retells(lines[-1], [ELSE], likely=likely), *lines)


def test_what_both_find_and_is_denied_and_told_as_something_else_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    low, before = LIMITS.unsaid, "Gag present."
    assert len(_doubting(monkeypatch, low, before, TWO).findings) == 1 + len(TWO.split(", "))
    record = _doubting(monkeypatch, low - 0.1, before, TWO)
    assert [f.test for f in record.findings] == ["gag"]
    assert {key_of(f) for q in record.questions for f in _offered(q)} == {
        ("strength", "deltoid", "right", "4"),
        ("strength", "biceps", "right", "5"),
    }


@pytest.mark.parametrize(
    "line",
    [
        "Right deltoid four out of five.",  # with its scale: nothing is unclear
        "Right deltoid four out of five, left biceps jerk two plus.",
        "Right biceps jerk two plus.",
        "Left plantar extensor.",
    ],
)
def test_what_is_plainly_said_is_not_doubted(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    record = _doubting(monkeypatch, -9.0, "Right knee jerk two plus.", line)
    assert not record.questions
    assert len(record.findings) == 1 + len(line.split(", "))


def test_what_was_not_understood_is_not_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    both = ["Gag present.", TWO]
    assert not _doubting(monkeypatch, -9.0, *both, likely=0.5).questions
    assert not record_with(monkeypatch, Says(-9.0), None, *both).questions


def test_what_is_found_first_is_not_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not _doubting(monkeypatch, -9.0, TWO).questions


@pytest.mark.parametrize(
    "lines",
    [
        ("Right biceps four.", "Right biceps three."),  # a conflict is the examiner's
        ("Deltoid four.",),  # so is a side that was not said
        ("Perhaps an extensor plantar on the left.",),  # and a doubt
        ("Biceps two plus.",),  # and which of two scales
    ],
)
def test_what_the_contract_asks_is_asked_however_sure_it_is(
    monkeypatch: pytest.MonkeyPatch, lines: tuple[str, ...]
) -> None:
    plain = _record(monkeypatch, None, *lines)
    sure = _record(monkeypatch, Says(9.0), *lines)
    assert plain.questions == sure.questions
    assert plain.findings == sure.findings


def test_where_the_first_reader_takes_it_for_talk_nothing_is_weighed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It may be of another time, or what somebody told."""
    line = "Left deltoid four, according to the referral letter."
    weigher = Says(9.0)
    record = _record(monkeypatch, weigher, "Gag present.", line)
    assert [f.test for f in record.findings] == ["gag"]


def test_a_line_with_a_word_that_nobody_knows_is_not_weighed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    line = "Light touch is reduced over the blorb of the right foot."
    plain = _record(monkeypatch, None, line)
    assert plain.questions
    assert _record(monkeypatch, Says(9.0), line) == plain


def test_a_denial_that_is_left_over_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    line = "Left deltoid weakness not enough."
    plain = _record(monkeypatch, None, line)
    assert plain.questions
    assert _record(monkeypatch, Says(9.0), line) == plain


def test_what_is_said_again_of_what_is_still_asked_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lines = ("Right arm: deltoid four, biceps about four or five.", "Left the same.")
    record = _record(monkeypatch, Says(9.0), *lines)
    assert [key_of(f) for f in record.findings] == [("strength", "deltoid", "right", "4")]
    assert len(record.questions) == 2


def test_it_proposes_nothing_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Talk and what nobody reads stay what they are, whatever it says."""
    lines = ("We had a long chat about the weather.", "The moon is made of cheese.")
    weigher = Says(9.0)
    record = _record(monkeypatch, weigher, *lines)
    assert not record.findings
    assert not weigher.asked


def test_what_was_said_aside_tells_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    weigher = Says(1.0)
    _record(monkeypatch, weigher, "Left deltoid three.", "The moon is made of cheese.", TWO)
    assert weigher.asked[-1].text == TWO
    assert weigher.asked[-1].before == ("Left deltoid three.",)
