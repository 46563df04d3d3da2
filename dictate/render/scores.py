"""Published totals of the grades in a record, and chart lines as logMAR. Nothing is filled in.

Which sites a total takes stands in common/scales.yaml (``sum_of``). A total is computed from whole
grades alone and from all of its items; what is missing is named and never counted as normal.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from dictate.grammar import Grammar
from dictate.grammar.schema import Scale
from dictate.model import Record, Side

SIDES: tuple[Side, ...] = ("right", "left")

#: The totals as common/scales.yaml names them.
MRC_SUM = "mrc_sum"
ISNCSCI = ("isncsci_upper", "isncsci_lower")

_LINE = re.compile(r"(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)")


@dataclass(frozen=True, slots=True)
class Score:
    """One total.

    ``total`` is None unless every item has one whole grade; ``missing`` names the (item, side)
    pairs without one. ``partial`` and ``partial_maximum`` add up the items that have one.
    """

    name: str
    sides: tuple[Side, ...]
    total: int | None
    maximum: int
    partial: int
    partial_maximum: int
    missing: tuple[tuple[str, Side], ...] = ()


def mrc_sum(record: Record, grammar: Grammar) -> Score | None:
    """The sum of six movements on both sides, 0 to 60 (Kleyweg 1991).

    Args:
        record: What was found.
        grammar: Says which sites are the items.

    Returns:
        The score, without a total where an item is missing or split ("4+"); None where the
        record has no grade of any item, or the grammar defines no such total.
    """
    return _examined(_score(record, grammar, MRC_SUM, SIDES))


def isncsci_motor(record: Record, grammar: Grammar) -> tuple[Score, ...]:
    """Motor scores of the key muscles: each limb 0 to 25, both arms and both legs 0 to 50.

    The two are reported apart (ISNCSCI, revision of 2019); their sum of 100 is an older habit.

    Args:
        record: What was found.
        grammar: Says which sites are the items.

    Returns:
        Right, left and both, for the arms and then for the legs; those of limbs without any
        grade are left out.
    """
    wanted: tuple[tuple[Side, ...], ...] = (("right",), ("left",), SIDES)
    scores = (_examined(_score(record, grammar, n, sides)) for n in ISNCSCI for sides in wanted)
    return tuple(score for score in scores if score is not None)


def logmar(line: str) -> float | None:
    """A chart line ("20/40", "6/9.5") as logMAR: the logarithm of distance read over distance.

    Bach M, Visual Acuity Cheat Sheet: logMAR is minus the logarithm of the decimal acuity.

    Args:
        line: Test distance, slash, the line's distance, in one unit.

    Returns:
        logMAR to two places; None where the text is no such line (a word, no slash, a zero).
    """
    match = _LINE.fullmatch(line.strip())
    if match is None:
        return None
    distance, read = float(match[1]), float(match[2])
    if distance == 0 or read == 0:
        return None
    return round(math.log10(read / distance), 2) + 0.0  # no minus zero


def _examined(score: Score | None) -> Score | None:
    return score if score is not None and score.partial_maximum else None


def _score(record: Record, grammar: Grammar, name: str, sides: tuple[Side, ...]) -> Score | None:
    found = _scale(grammar, name)
    if found is None:
        return None
    key, scale = found
    top = scale.of or 0
    grades: list[int] = []
    missing: list[tuple[str, Side]] = []
    for item in scale.sum_of[name]:
        for side in sides:
            grade = _grade(record, grammar, key, item, side)
            if grade is None:
                missing.append((item, side))
            else:
                grades.append(grade)
    maximum = scale.sum_max[name] * len(sides) // len(SIDES)
    total = sum(grades) if not missing else None
    return Score(name, sides, total, maximum, sum(grades), top * len(grades), tuple(missing))


def _scale(grammar: Grammar, name: str) -> tuple[str, Scale] | None:
    return next(((k, scale) for k, scale in grammar.scales.items() if name in scale.sum_of), None)


def _grade(record: Record, grammar: Grammar, scale: str, item: str, side: Side) -> int | None:
    """The one whole grade of an item; None for none, a split one, a word, or two that differ."""
    sites = item.split(" or ")
    values = {
        finding.value
        for finding in record.findings
        if finding.site in sites
        and finding.side == side
        and grammar.tests[finding.test].scale == scale
    }
    value = values.pop() if len(values) == 1 else ""
    return int(value) if value.isdecimal() else None
