"""Long narrations end, with each line in the record."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

#: A guard against a hang and no measure of speed, which tests/benchmarks prints.
WAIT_S = 900

SITES = ["deltoid", "biceps", "triceps", "hip flexion", "knee extension", "grip"]
OTHER = [
    "Close your eyes and hold your arms out.",
    "the pillow is comfortable and the window stays open for now",
    "tone normal in all four limbs",
    "no pronator drift",
]


def _line(dice: random.Random) -> str:
    side = dice.choice(["right", "left"])
    return dice.choice(
        [
            f"{side} {dice.choice(SITES)} five out of five",
            f"{side} knee jerk two plus",
            dice.choice(OTHER),
        ]
    )


def _long(words: int) -> list[str]:
    dice = random.Random(5)
    lines: list[str] = []
    held = 0
    while held < words:
        lines.append(_line(dice))
        held += len(lines[-1].split())
    return lines


def _record(start, path: Path) -> dict:
    result = start("note", path, "--as", "record", "--no-ask", seconds=WAIT_S)
    assert result.returncode == 0, result.stderr
    return json.loads(result.stdout)


def test_two_hundred_thousand_words(start, tmp_path: Path) -> None:
    lines = _long(200_000)
    (tmp_path / "long.txt").write_text("\n".join(lines), encoding="utf-8")
    data = _record(start, tmp_path / "long.txt")
    assert len(data["utterances"]) == len(lines)
    assert not data["questions"]
    assert {f["value"] for f in data["findings"]} == {"5", "2+", "normal", "absent"}
    assert len(data["findings"]) == 2 * len(SITES) + 2 + 2


@pytest.mark.parametrize(
    "piece",
    [
        "right deltoid five out of five, left knee jerk two plus. ",
        "the pillow is comfortable and the window stays open for now ",
        "deltoid ",
        "right deltoid ",
        "five ",
        "4+",
        "no ",
        "right ",
        "x",
        "of ",
        "(",
    ],
)
def test_a_line_of_fifty_thousand_characters(start, tmp_path: Path, piece: str) -> None:
    line = (piece * 50_000)[:50_000]
    (tmp_path / "line.txt").write_text(line, encoding="utf-8")
    data = _record(start, tmp_path / "line.txt")
    assert "".join(u["text"] for u in data["utterances"]).strip() == line.strip()
