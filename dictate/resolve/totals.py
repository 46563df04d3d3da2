"""A total and its parts: parts alone give their sum, parts that do not add up are asked about."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from dictate.grammar.schema import Scale
from dictate.interpret.totals import TOTAL, UNTESTED
from dictate.model import QuestionKind

Problem = tuple[QuestionKind, list[str]]


def total_of(
    scale: Scale, points: Mapping[str, int], said: str | None, details: Collection[str]
) -> str | Problem:
    """The value of a total, or what must be asked about it.

    Args:
        scale: The total's scale, with its parts.
        points: The points of each part that was told.
        said: The total as it was said, if it was.
        details: Details said of it; among them the parts that could not be tested.
    """
    if TOTAL in points:
        points = dict(points)
        whole = str(points.pop(TOTAL))
        if said not in (None, whole):
            return "conflict", [said or "", whole]
        said = whole
    if any(not scale.parts[p].low <= n <= scale.parts[p].high for p, n in points.items()):
        return "scale", []
    untested = {p for p in scale.parts if f"{p}{UNTESTED}" in details}
    left = [part for name, part in scale.parts.items() if name not in points]
    counted = [part for name, part in scale.parts.items() if name not in {*points, *untested}]
    own = sum(points.values())
    if not counted and points and not (untested and said is None):
        # whether a part that could not be tested counts as nothing or as one differs by hospital
        known = {None, *(str(own + more) for more in range(len(untested) + 1))}
        return said or str(own) if said in known else ("conflict", [said or "", str(own)])
    if said is None:
        return "value", []
    lowest = own + sum(part.low for part in counted)
    highest = own + sum(part.high for part in left)
    if scale.only_lost and len(points) > 1:
        highest = lowest  # the parts that were not told are of their lowest grade
    if points and said.isdigit() and not lowest <= int(said) <= highest:
        return "conflict", [said, str(lowest)]
    return said
