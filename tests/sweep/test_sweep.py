"""A fixed sample of the sweep keeps to its bounds; and the judges of the sweep can say no.

The bounds (bounds.yaml, percent) are what the reader did when they were written down: `right` may
only rise, the others only fall. `python -m tests.sweep --bounds` prints them anew.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
import yaml

from dictate.model import Finding, Question, Record

from . import corrections, lines, subjects
from .__main__ import SAMPLE, bounds, every

BOUNDS = yaml.safe_load(Path(__file__).with_name("bounds.yaml").read_text("utf-8"))
#: A word more in the grammar puts a few other lines into the sample (percent).
SLACK = 1.0
KINDS = [*lines.kinds(), *corrections.forms()]


def test_every_kind_has_bounds() -> None:
    assert list(BOUNDS) == KINDS


def swept(kind: str) -> dict[str, float]:
    """What became of the sample of one kind."""
    return bounds(list(every(kind, SAMPLE)))


@pytest.fixture(scope="module")
def samples() -> dict[str, dict[str, float]]:
    """The samples of all kinds, swept on all processors."""
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        return dict(zip(KINDS, pool.map(swept, KINDS), strict=True))


@pytest.mark.parametrize("kind", KINDS)
def test_a_sample_keeps_to_its_bounds(samples: dict[str, dict[str, float]], kind: str) -> None:
    found, bound = samples[kind], BOUNDS[kind]
    assert found["right"] >= bound["right"] - SLACK, found
    for name in ("lost", "wrong", "present"):
        assert found[name] <= bound[name] + SLACK, found


def test_there_are_enough_ways() -> None:
    ways = [way for kind in subjects.data()["kinds"].values() for way in kind["ways"]]
    assert len(set(ways)) == len(ways) >= 60
    forms = [way for form in subjects.data()["corrections"].values() for way in form]
    assert len(set(forms)) == len(forms) >= 60


def test_every_test_that_can_be_denied_is_swept() -> None:
    """As a sign, or by the name of the test with a value; and none on one side alone."""
    swept = {s.test for kind in ("sign", "value") for s in lines.subjects_of(kind)}
    denied = {name for name, test in subjects.GRAMMAR.tests.items() if test.denied}
    assert len(denied - swept) <= 2, denied - swept
    for kind in ("sign", "value", "normal", "movement", "test"):
        found = lines.subjects_of(kind)
        right, left = ({s.plain.replace(side, "") for s in found if s.side == side}
                       for side in ("right", "left"))  # fmt: skip
        assert right == left and found, kind


# ---- the judges

SIGN = subjects.Subject(
    "ptosis", "right", {}, "", ("ptosis", None, "right", "present"), frozenset({"absent"})
)
BEFORE = Finding("strength", "grip", "left", "4")
QUESTION = Question("q1", "value", (), "Ptosis?")


def _finding(value: str, side: str | None = "right", test: str = "ptosis") -> Finding:
    return Finding(test, None, side, value)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "findings", "asked", "mark", "present"),
    [
        ("denied", [_finding("absent")], False, "right", False),
        ("denied", [_finding("absent", None)], False, "right", False),
        ("denied", [_finding("absent", "left")], False, "wrong", False),
        ("denied", [_finding("present")], False, "wrong", True),
        ("denied", [_finding("present")], True, "wrong", True),
        ("denied", [_finding("absent"), _finding("normal", test="gait")], False, "wrong", False),
        ("denied", [], True, "asked", False),
        ("denied", [], False, "lost", False),
        ("denied_movement", [], True, "right", False),
        ("denied_movement", [_finding("present")], False, "wrong", True),
        ("doubted", [], True, "right", False),
        ("doubted", [], False, "lost", False),
        ("doubted", [_finding("absent")], True, "wrong", False),
        ("past", [], False, "right", False),
        ("past", [], True, "asked", False),
        ("past", [_finding("present")], False, "wrong", True),
        ("not_examined", [_finding("not_tested")], False, "right", False),
        ("not_examined", [_finding("absent")], False, "wrong", False),
        ("not_examined", [], False, "lost", False),
    ],
)
@pytest.mark.parametrize("after", [False, True])
def test_a_line_is_judged(monkeypatch, kind, findings, asked, mark, present, after) -> None:
    said = (BEFORE,) if after else ()
    record = Record((*said, *findings), (QUESTION,) if asked else ())
    monkeypatch.setattr(lines, "hear", lambda *_: record)
    before = tuple(subjects.rows(Record(said)))
    judged = lines.judge(lines.Line(kind, "", SIGN, "", before))
    assert (judged.mark, judged.present) == (mark, present)


def test_what_was_said_before_must_be_kept(monkeypatch) -> None:
    before = tuple(subjects.rows(Record((BEFORE,))))
    monkeypatch.setattr(lines, "hear", lambda *_: Record((_finding("absent"),)))
    assert lines.judge(lines.Line("denied", "", SIGN, "", before)).mark == "lost"


ROW = ("strength", "grip", "left", "4")
OTHER = ("strength", "grip", "right", "4")


@pytest.mark.parametrize(
    ("rows", "asked", "mark", "as_before"),
    [
        ([OTHER], False, "right", False),
        ([OTHER], True, "asked", False),
        ([ROW], False, "wrong", True),
        ([ROW], True, "asked", False),
        ([], True, "asked", False),
        ([], False, "lost", False),
        ([ROW, OTHER], False, "wrong", False),
        ([("strength", "grip", "right", "5")], False, "wrong", False),
        ([("strength", "grip", "right", "5")], True, "wrong", False),
    ],
)
def test_a_correction_is_judged(monkeypatch, rows, asked, mark, as_before) -> None:
    record = Record(tuple(Finding(*row) for row in rows), (QUESTION,) if asked else ())
    monkeypatch.setattr(corrections, "hear", lambda *_: record)
    line = corrections.Corrected(
        "side", "", (corrections.Stated("left grip four", ROW),), ("",), (frozenset({OTHER}),)
    )
    judged = corrections.judge(line)
    assert (judged.mark, judged.as_before) == (mark, as_before)
