"""The scorer of fresh rounds, by rounds made by hand: each count can fail."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from dictate.model import Choice, Finding, Place, Question, Record

from .rounds import judge, read_round
from .score import errors, reader, table, wilson

NARRATIONS = """
- {id: a, style: plain, lines: [Right deltoid four., Left biceps five., Ankle jerk two plus.]}
"""
GOLD = """
- id: a
  find: [[strength, deltoid, right, 4, 1], [strength, biceps, left, 5, 2]]
  may: [[tone, all, null, normal]]
  ask: [{kind: side, line: 3}]
"""


def _round(folder, gold=GOLD, narrations=NARRATIONS):
    (folder / "narrations.yaml").write_text(narrations, "utf-8")
    (folder / "gold.yaml").write_text(gold, "utf-8")
    return read_round(folder)


def _finding(test, site, side, value, line):
    return Finding(test, site, side, value, said=(Place(str(line), 0, 5),))


def _question(kind, *lines, choices=()):
    return Question("q1", kind, tuple(Place(str(n), 0, 5) for n in lines), "Which?", choices)


DELTOID = _finding("strength", "deltoid", "right", "4", 1)
BICEPS = _finding("strength", "biceps", "left", "5", 2)
SIDE = _question("side", 3)


def _counts(folder, findings, questions, gold=GOLD):
    (narration,) = _round(folder, gold)
    score = judge(narration, Record(tuple(findings), tuple(questions)))
    same = sum(exact for _, _, exact in score.asked)
    names = ("captured", "asked_about", "lost", "silent", "asked", "not_asked", "needless")
    return {name: len(getattr(score, name)) for name in names} | {"same": same}


RIGHT = {
    "captured": 2, "asked_about": 0, "lost": 0, "silent": 0,
    "asked": 1, "not_asked": 0, "needless": 0, "same": 1,
}  # fmt: skip


@pytest.mark.parametrize(
    ("findings", "questions", "differs"),
    [
        ([DELTOID, BICEPS], [SIDE], {}),
        ([DELTOID], [SIDE], {"captured": 1, "lost": 1}),
        # the same finding twice is one of them too many
        ([DELTOID, DELTOID, BICEPS], [SIDE], {"silent": 1}),
        # another side, site, value or test is no capture, and was never said
        (
            [_finding("strength", "deltoid", "left", "4", 1), BICEPS],
            [SIDE],
            {"captured": 1, "lost": 1, "silent": 1},
        ),
        (
            [_finding("strength", "deltoid", "right", "4+", 1), BICEPS],
            [SIDE],
            {"captured": 1, "lost": 1, "silent": 1},
        ),
        # what the gold allows is neither captured nor wrong
        ([DELTOID, BICEPS, _finding("tone", "all", None, "normal", 2)], [SIDE], {}),
        # asked: by a question about the line, or by its choice
        (
            [DELTOID],
            [SIDE, _question("value", 2)],
            {"captured": 1, "asked_about": 1, "needless": 1},
        ),
        (
            [DELTOID],
            [_question("side", 3, choices=(Choice("left", (BICEPS,)),))],
            {"captured": 1, "asked_about": 1},
        ),
        # the due question: not asked, of another kind, or one too many elsewhere
        ([DELTOID, BICEPS], [], {"asked": 0, "same": 0, "not_asked": 1}),
        ([DELTOID, BICEPS], [_question("value", 3)], {"same": 0}),
        ([DELTOID, BICEPS], [SIDE, _question("side", 1)], {"needless": 1}),
        # a question about two lines stands for either
        ([DELTOID, BICEPS], [_question("side", 1, 3)], {}),
    ],
)
def test_each_count(tmp_path, findings, questions, differs):
    assert _counts(tmp_path, findings, questions) == RIGHT | differs


def test_one_question_answers_for_one_that_is_due(tmp_path):
    gold = GOLD.replace("line: 3}", "line: 3}, {kind: value, line: 3}")
    once = _counts(tmp_path, [DELTOID, BICEPS], [_question("value", 3)], gold)
    assert (once["asked"], once["same"], once["not_asked"]) == (1, 1, 1)
    both = _counts(tmp_path, [DELTOID, BICEPS], [_question("value", 3), SIDE], gold)
    assert (both["asked"], both["same"], both["not_asked"]) == (2, 2, 0)


def test_a_question_may_be_asked_where_the_gold_allows_it(tmp_path):
    gold = GOLD + "  may_ask: [1]\n"
    assert _counts(tmp_path, [DELTOID, BICEPS], [SIDE, _question("value", 1)], gold) == RIGHT


@pytest.mark.parametrize(
    "gold",
    [
        GOLD.replace("id: a", "id: b"),
        GOLD.replace("right, 4, 1", "right, 4, 4"),
        GOLD.replace("line: 3", "line: 0"),
        GOLD.replace("may:", "maybe:"),
        GOLD + GOLD,
    ],
)
def test_a_round_that_does_not_fit_is_refused(tmp_path, gold):
    with pytest.raises(ValueError):
        _round(tmp_path, gold)


def test_wilson_interval():
    """Newcombe 1998, Stat Med 17:857, table I, method 3 (Wilson's score, without correction)."""
    for errors_, of, low, high in [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605),
                                   (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]:  # fmt: skip
        assert wilson(errors_, of) == pytest.approx((low, high), abs=0.0001)


def test_the_whole_of_it(tmp_path):
    """Read by the program itself: captured, asked, and what it prints."""
    (narration,) = _round(tmp_path)
    score = judge(narration, reader("today")(narration.utterances))
    assert (len(score.captured), len(score.asked)) == (2, 1)
    lines = list(table([score]))
    assert lines[0] == "1 narrations, 2 findings, 1 questions due"
    assert lines[1].split() == ["captured", "2", "100.0%"]
    # the same narration with gold that nobody said: every error is listed with its line
    wrong = judge(
        _round(tmp_path, GOLD.replace("right, 4, 1", "left, 4, 1"))[0],
        reader("today")(narration.utterances),
    )
    listed = list(errors(wrong))
    assert listed[0].startswith("SILENT    a:1  strength deltoid right 4  | Right deltoid four.")
    assert listed[1].startswith("lost      a:1  strength deltoid left 4")


def test_another_reader_is_named_by_its_module(tmp_path):
    (narration,) = _round(tmp_path)
    hear = reader("dictate.session:Session")
    assert len(hear(narration.utterances).findings) == 2


def test_the_command(tmp_path):
    _round(tmp_path)
    script = Path(__file__).with_name("score.py")
    root = script.parents[2]
    done = subprocess.run(
        [sys.executable, str(script), str(tmp_path), "--list", "--by-style"],
        capture_output=True, text=True, check=True, cwd=root, env={"PYTHONPATH": str(root)},
    )  # fmt: skip
    assert "plain:" in done.stdout and done.stdout.count("captured") == 2
