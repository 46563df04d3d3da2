"""Laws for statements that need nothing before them."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from .strategies import TALK, Statement, hear, narrations, rivals, rows, sayings, statements


@given(statements())
def test_a_statement_is_its_finding(statement: Statement) -> None:
    record = hear(statement.text)
    assert rows(record) == [statement.row], statement.text
    assert not record.questions


@given(narrations(2), st.randoms(use_true_random=False))
def test_any_order_gives_the_same_findings(narration: list[Statement], random) -> None:
    other = random.sample(narration, len(narration))
    first, second = hear(*(s.text for s in narration)), hear(*(s.text for s in other))
    assert Counter(rows(first)) == Counter(s.row for s in narration)
    assert Counter(rows(second)) == Counter(rows(first))
    assert not first.questions and not second.questions


@given(narrations(2, 4), st.sampled_from([". ", ", ", "; ", ", and "]))
def test_one_utterance_or_many(narration: list[Statement], join: str) -> None:
    record = hear(join.join(s.text for s in narration))
    assert Counter(rows(record)) == Counter(s.row for s in narration)
    assert not record.questions


@given(narrations(1, 4), st.data())
def test_talk_in_between_changes_no_finding(
    narration: list[Statement], data: st.DataObject
) -> None:
    lines = [s.text for s in narration]
    for _ in range(data.draw(st.integers(1, 3))):
        lines.insert(data.draw(st.integers(0, len(lines))), data.draw(st.sampled_from(TALK)))
    record = hear(*lines)
    assert Counter(rows(record)) == Counter(s.row for s in narration)
    assert not record.questions
    talk = [u for u in record.utterances if u.text in TALK]
    assert all(u.kind not in {"finding", "command"} for u in talk)


@given(st.lists(sayings(), max_size=3), st.sampled_from(TALK))
def test_talk_after_anything_changes_no_finding(lines: list[str], talk: str) -> None:
    before, after = hear(*lines), hear(*lines, talk)
    assert rows(after) == rows(before)
    assert [q.kind for q in after.questions] == [q.kind for q in before.questions]


@given(narrations(1, 4), st.sampled_from(["um, ", "okay, ", "so, ", "uh "]))
def test_fillers_change_nothing(narration: list[Statement], filler: str) -> None:
    record = hear(*(f"{filler}{s.text}" for s in narration))
    assert Counter(rows(record)) == Counter(s.row for s in narration)


@given(narrations(1, 3))
def test_said_twice_is_one_finding_with_two_places(narration: list[Statement]) -> None:
    lines = [s.text for s in narration]
    record = hear(*lines, *lines)
    assert Counter(rows(record)) == Counter(s.row for s in narration)
    for finding in record.findings:
        assert len({place.utterance for place in finding.said}) == 2


@given(rivals())
def test_another_grade_of_the_same_is_a_question(pair: tuple[Statement, Statement]) -> None:
    first, second = pair
    record = hear(first.text, second.text)
    assert not record.findings
    assert [question.kind for question in record.questions] == ["conflict"]


@given(narrations(2, 5))
def test_taking_back_removes_the_last_alone(narration: list[Statement]) -> None:
    record = hear(*(s.text for s in narration), "take that back")
    assert Counter(rows(record)) == Counter(s.row for s in narration[:-1])
    assert record.utterances[-1].kind == "command"


@given(narrations(1, 4), rivals())
def test_a_correction_reaches_its_own_alone(
    narration: list[Statement], pair: tuple[Statement, Statement]
) -> None:
    first, second = pair
    others = [s for s in narration if s.row[:3] != first.row[:3]]
    record = hear(first.text, *(s.text for s in others), f"correction, {second.text}")
    assert Counter(rows(record)) == Counter([second.row, *(s.row for s in others)])
    assert not record.questions
