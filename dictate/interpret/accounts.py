"""Accounts and other examinations inside a narration: heard, kept, and no finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.interpret.items import Item

#: Words that are known for talk alone; in a statement they are as good as unknown.
STRANGE = frozenset({"symptom", "other_part", "account", "tag"})
#: What may stand between a grade and the thing of another examination that it is of.
_BETWEEN = {"glue", "degree", "quality", "unknown", "side", "place"}
#: How many such words at most ("two plus radial and dorsalis pedis pulses").
_REACH = 4


def goes_on(row: Sequence[Item], account: bool) -> bool:
    """Whether a sentence belongs to an account ("review of systems: ...") in the same utterance.

    Args:
        row: The sentence's items as the lexicon gave them.
        account: The sentence before belonged to one.
    """
    if any("account" in item.others for item in row):
        return True
    return account and not any("exam" in item.others for item in row)


def without_other_parts(row: Sequence[Item]) -> list[Item]:
    """A value of another examination ("two plus pulses", "edema is trace") is none of ours.

    Args:
        row: A sentence's items as the lexicon gave them.
    """
    out = list(row)
    for i, item in enumerate(row):
        if item.kind == "grade" and _measures(row, i):
            out[i] = replace(item, kind="unknown", grade=None)
        if "other_part" not in item.others:
            continue
        for step in (-1, 1):
            j = _value_beside(row, i, step)
            if j is not None:
                out[j] = replace(row[j], kind="unknown", readings=(), grade=None)
    return out


def _measures(row: Sequence[Item], i: int) -> bool:
    """ "One by two centimetres": the first number of a measure, whose unit comes with the last."""
    last = row[i + 2] if i + 2 < len(row) else None
    counted = last is not None and last.grade is not None and last.grade.counts
    return bool(counted) and "measured_by" in row[i + 1].others


def _value_beside(row: Sequence[Item], i: int, step: int) -> int | None:
    for j in range(i + step, i + step * (_REACH + 1), step):
        if not 0 <= j < len(row):
            return None
        if row[j].kind in {"grade", "value"}:
            return j
        if row[j].kind not in _BETWEEN:
            return None
    return None


#: Words of a bracket that is about another time, place or person.
_ELSEWHERE = frozenset({"elsewhere", "reported", "account"})


def without_asides(row: list[Item]) -> list[Item]:
    """ "MMSE 27/30 (copy not in chart)": a bracket about the chart says nothing, and of nothing.

    Args:
        row: One sentence's items as the lexicon gave them; those of such brackets are emptied.
    """
    opened: int | None = None
    for i, item in enumerate(row):
        if item.text in {"(", "["}:
            opened = i
        elif item.text in {")", "]"} and opened is not None:
            inside = row[opened + 1 : i]
            if any(x.others & _ELSEWHERE for x in inside):
                for x in inside:
                    x.kind, x.readings, x.grade, x.others = "glue", (), None, frozenset()
            opened = None
    return row
