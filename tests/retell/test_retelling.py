"""The shipped network, and the limits of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import ModelError
from dictate.retell.lines import Line
from dictate.retell.retelling import Retelling, Retellings, Told, retelling


def _rows(*said: str) -> dict:
    network = retelling()
    assert network is not None
    (told,) = network.retell([Line(tuple(said[:-1]), said[-1])])
    assert told is not None
    return told.rows


# common practice, no source: how such findings are said
SAID = [
    ("Left deltoid four plus.", {("strength", "deltoid", "left", "4+")}),
    ("No pronator drift.", {("pronator_drift", None, None, "absent")}),
    ("Pupils three millimetres on the right, four on the left.",
     {("pupil_size", None, "right", "3 mm"), ("pupil_size", None, "left", "4 mm")}),
    ("Could you pass me the tuning fork, please?", set()),
]  # fmt: skip


@pytest.mark.parametrize(("text", "found"), SAID, ids=[text for text, _ in SAID])
def test_a_plain_line_is_retold(text: str, found: set) -> None:
    assert set(_rows(text)) == found


def test_it_is_likelier_the_plainer_it_is_and_a_share_of_one() -> None:
    plain = _rows("Right biceps five.")[("strength", "biceps", "right", "5")]
    assert 0.9 < plain <= 1.0


def test_the_mirrored_line_is_retold_mirrored() -> None:
    right = _rows("Right triceps four, left triceps five.")
    left = _rows("Left triceps four, right triceps five.")
    assert {
        (t, s, {"right": "left", "left": "right"}[d], v): p for (t, s, d, v), p in right.items()
    } == left


def test_lines_together_are_as_lines_alone() -> None:
    network = retelling()
    assert network is not None
    lines = [Line((), text) for text, _ in SAID] + [Line((), "word " * 300)]
    together = network.retell(lines)
    assert together[-1] is None, "too long"
    for line, told in zip(lines[:-1], together, strict=False):
        (alone,) = network.retell([line])
        assert told is not None and alone is not None
        assert told.rows.keys() == alone.rows.keys()


def test_it_knows_what_it_was_taught() -> None:
    network = retelling()
    assert network is not None
    assert network.knows("strength", "4+")
    assert not network.knows("strength", "purple")
    assert not network.knows("no_test", "normal")


def test_broken_weights_are_one_clear_clause(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="cannot be used"):
        Retelling(tmp_path)


class _Tells:
    """Tells each line as the same rows."""

    def __init__(self, told: Told | None, values: str) -> None:
        self.told, self.values = told, values

    def knows(self, test: str, value: str) -> bool:
        return value in self.values

    def retell(self, lines: list[Line]) -> list[Told | None]:
        return [self.told] * len(lines)


def _two(one: Told | None, other: Told | None) -> Told | None:
    networks = Retellings([_Tells(one, "45"), _Tells(other, "5")])  # type: ignore[list-item]
    assert networks.knows("strength", "5") and not networks.knows("strength", "4")
    return networks.retell([Line((), "Right deltoid five.")])[0]


def test_two_that_agree_are_as_sure_as_their_mean_and_one_alone_is_hardly_believed() -> None:
    five, four = ("strength", "deltoid", "right", "5"), ("strength", "deltoid", "right", "4")
    told = _two(Told({five: 0.9, four: 0.9}, 0.2), Told({five: 0.9}, 0.4))
    assert told is not None
    assert told.rows[five] == pytest.approx(0.9)
    # by hand: the mean of ln(0.9 / 0.1) and ln(0.01 / 0.99) is -1.199, a share of 0.232
    assert told.rows[four] == pytest.approx(0.232, abs=0.001)
    assert told.said == [five]
    assert told.ask == pytest.approx(0.3)


def test_a_line_that_is_too_long_for_one_is_told_by_none() -> None:
    assert _two(Told({}), None) is None
