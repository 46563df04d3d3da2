"""Patterns of closed classes: what they match, how long, and what they do to a statement."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.interpret.frames import Frames
from dictate.interpret.tokens import norms
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()
FRAMES = Frames(GRAMMAR)


def _kinds(text: str) -> set[tuple[str, str]]:
    words = norms(text)
    return {(f.kind, " ".join(words[f.start : f.end])) for f in FRAMES.find(words)}


@pytest.mark.parametrize(
    ("text", "kind", "stretch"),
    [
        ("I couldn't actually find any drift", "sought", "i couldn't actually find any"),
        ("there isn't any drift", "deny", "there isn't any"),
        ("drift was not seen", "denied", "was not seen"),
        ("I haven't tested the gait", "not_tested", "i haven't tested"),
        ("gait could not be tested", "unable", "could not be tested"),
        ("I'm not entirely sure about the drift", "doubt", "i'm not entirely sure about the"),
        ("a drift in 2019", "elsewhere", "in 2019"),
        ("a drift three weeks ago", "elsewhere", "three weeks ago"),
        ("the nurse noted a drift", "elsewhere", "the nurse noted"),
        ("all of that was the left", "whole_run", "all of that"),
        ("on second thoughts four", "replace", "on second thoughts"),
        ("I got that wrong", "wrong", "i got that wrong"),
        ("wrong side", "swap", "wrong side"),
    ],
)
def test_a_pattern_matches_as_far_as_it_goes(text: str, kind: str, stretch: str) -> None:
    assert (kind, stretch) in _kinds(text)


@pytest.mark.parametrize("text", ["did not do well on tandem", "right deltoid four", "no drift"])
def test_what_no_pattern_says_is_left_alone(text: str) -> None:
    assert not {kind for kind, _ in _kinds(text)} & {"not_tested", "unable", "elsewhere", "wrong"}


def _record(*lines: str) -> Record:
    session = Session(GRAMMAR, alone=True)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


def _rows(record: Record) -> list[tuple[str, str | None, str | None, str]]:
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


@pytest.mark.parametrize(
    ("said", "row"),
    [
        ("I could not elicit the left ankle jerk.", "absent"),
        ("The left ankle jerk could not be elicited.", "absent"),
        ("I could not elicit the left ankle jerk because of the cast.", "unable"),
        ("The left ankle jerk was not obtainable because of the oedema.", "unable"),
    ],
)
def test_looking_in_vain_is_absence_unless_a_reason_says_otherwise(said: str, row: str) -> None:
    assert _rows(_record(said)) == [("stretch_reflex", "ankle", "left", row)]


def test_another_time_reaches_over_its_own_clause() -> None:
    assert _rows(_record("Right deltoid four, last year it was five.")) == [
        ("strength", "deltoid", "right", "4")
    ]
    assert _rows(_record("Right ptosis, according to the letter.")) == []


@pytest.mark.parametrize(
    "said", ["The right toe does not go up.", "The right toe doesn't go down.", "Toes won't rise."]
)
def test_a_denied_movement_is_asked_about(said: str) -> None:
    record = _record(said)
    assert not record.findings and [q.kind for q in record.questions] == ["value"]


def test_a_lone_sign_after_the_name_of_a_sign_is_its_value() -> None:
    values = {f.site: f.value for f in _record("glabellar +, snout -").findings}
    assert values == {"glabellar": "present", "snout": "absent"}
