"""Real dictated examinations: the covered is recorded or asked about, nothing is invented."""

from __future__ import annotations

from functools import cache

import pytest

from dictate.model import Finding, Place

from .gold import (
    PASSAGES,
    Heard,
    Judged,
    Statement,
    judge,
    judge_all,
    make_passage,
    overlap,
    read_gold,
    read_passages,
    row_of,
    totals,
)

#: Share of covered statements that must be recorded rightly or asked about.
AT_LEAST = 0.97

beside = pytest.mark.skipif(
    not PASSAGES.is_file(), reason="the real passages (shared/data) are not beside this checkout"
)


@cache
def _judged() -> tuple[Judged, ...]:
    return tuple(judge_all(read_passages(), read_gold()))


@beside
def test_covered_statements_are_right_or_asked() -> None:
    count = totals(_judged())
    covered = sum(count[mark] for mark in ("right", "asked", "lost", "wrong"))
    assert covered
    lost = [
        (one.passage, statement.at, mark)
        for one in _judged()
        for statement, mark in one.marks
        if mark in ("lost", "wrong")
    ]
    assert (count["right"] + count["asked"]) / covered >= AT_LEAST, lost


@beside
def test_no_finding_contradicts_the_gold() -> None:
    wrong = [(one.passage, row) for one in _judged() for row, _ in one.contradictions]
    assert not wrong
    assert not [(one.passage, row) for one in _judged() for row, _ in one.unjudged]


@beside
def test_gold_cuts_its_passages() -> None:
    """Statements stand in order, lie within the text, and leave no word out."""
    texts = {passage.id: passage.text for passage in read_passages()}
    for name, statements in read_gold().items():
        end = 0
        for statement in statements:
            start = statement.at[0]
            assert end <= start < statement.at[1] <= len(texts[name]), (name, statement.at)
            assert not _words(texts[name][end:start]), (name, texts[name][end:start])
            end = statement.at[1]
        assert not _words(texts[name][end:]), (name, texts[name][end:])


def _words(gap: str) -> list[str]:
    """Words outside a heading."""
    return [word for word in gap.rpartition(":")[2].split() if any(map(str.isalnum, word))]


ROW = ("gait", "-", "-", "normal")
OTHER = ("gait", "-", "-", "ataxic")


def _mark(kind: str, readings: list[list[tuple[str, ...]]], heard: Heard) -> tuple[str, int]:
    statement = Statement((5, 20), kind, tuple(map(frozenset, readings)))  # type: ignore[arg-type]
    judged = judge("x", heard, (statement,))
    return judged.marks[0][1], totals([judged])["contradictions"]


@pytest.mark.parametrize(
    ("kind", "readings", "found", "asked", "mark"),
    [
        ("finds", [[ROW]], [ROW], False, ("right", 0)),
        ("finds", [[ROW], [OTHER]], [OTHER], False, ("right", 0)),
        ("finds", [[ROW]], [], True, ("asked", 0)),
        ("finds", [[ROW]], [], False, ("lost", 0)),
        ("finds", [[ROW, OTHER]], [ROW], False, ("lost", 0)),
        ("finds", [[ROW]], [ROW, OTHER], True, ("wrong", 1)),
        ("asks", [], [], True, ("right", 0)),
        ("asks", [], [], False, ("lost", 0)),
        ("asks", [], [ROW], True, ("wrong", 1)),
        ("remark", [], [], True, ("remark", 0)),
        ("remark", [], [ROW], False, ("wrong", 1)),
        ("remark", [[ROW]], [ROW], False, ("remark", 0)),
    ],
)
def test_marks(kind, readings, found, asked, mark) -> None:
    questions = (("value", "?", ((6, 9),)),) if asked else ()
    heard = Heard(tuple((row, ((6, 9),)) for row in found), questions)
    assert _mark(kind, readings, heard) == mark


def test_a_finding_outside_every_statement_counts() -> None:
    assert _mark("remark", [], Heard(((ROW, ((0, 4),)),), ())) == ("remark", 1)


def test_lines_are_utterances_and_places_are_of_the_text() -> None:
    passage = make_passage("x", "Gait:\n\nnormal gait")
    assert [line.text for line in passage.lines] == ["Gait:", "normal gait"]
    assert passage.starts == {"u1": 0, "u2": 7}
    assert overlap([(0, 4), (6, 9)], (3, 8)) == 3
    assert row_of(Finding("gait", None, None, "normal", said=(Place("u1", 0, 4),))) == ROW


def test_a_folder_of_texts_is_read_by_name(tmp_path) -> None:
    (tmp_path / "b.txt").write_text("Gait normal.", "utf-8")
    (tmp_path / "a.txt").write_text("Tone normal.", "utf-8")
    (tmp_path / "notes.md").write_text("not a passage", "utf-8")
    assert [passage.id for passage in read_passages(tmp_path)] == ["a", "b"]


def test_a_question_where_nothing_is_open_is_needless() -> None:
    statements = (
        Statement((0, 10), "remark", ()),
        Statement((10, 20), "asks", ()),
    )
    heard = Heard((), (("value", "?", ((2, 4),)), ("value", "?", ((12, 14),))))
    assert judge("x", heard, statements).needless == 1


@pytest.mark.parametrize(
    "entry",
    ["{at: [0, 4]}", "{at: [0, 4], asks: true, remark: true}", "{at: [0, 4], finds: [], why: x}"],
)
def test_malformed_gold_is_refused(tmp_path, entry: str) -> None:
    (tmp_path / "gold_x.yaml").write_text(f"x:\n  - {entry}\n", "utf-8")
    with pytest.raises(ValueError, match="gold_x"):
        read_gold(tmp_path)
