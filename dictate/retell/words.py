"""The words that the network retells in: test, site, side and value of each finding in turn.

A value that was seen seldom is spelled letter by letter, so that any number can be said.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

#: Test, site, side, value.
Row = tuple[str, str | None, str | None, str]
BEGIN, END, NOTHING, ASK = "<begin>", "<end>", "<none>", "<ask>"
_TEST, _SITE, _SIDE, _VALUE, _LETTER = "test:", "site:", "side:", "value:", "letter:"
_SPELLED = _VALUE + "*"
_BOTH, _NO = "both", "-"
_PAIR = frozenset({"right", "left"})


def told(rows: Sequence[Row], ask: bool, whole: Iterable[str]) -> list[str]:
    """Findings as words.

    Args:
        rows: In the order in which they were said; the same of both sides, one after the other, is
            told once.
        ask: Something of it must be asked about.
        whole: Values that are words of their own; others are spelled.
    """
    words, values, left = list[str](), frozenset(whole), list(rows)
    while left:
        test, site, side, value = left.pop(0)
        same = bool(left) and (*left[0][:2], left[0][3]) == (test, site, value)
        if same and {side, left[0][2]} == _PAIR:
            side = _BOTH
            left.pop(0)
        words += [_TEST + test, _SITE + (site or _NO), _SIDE + (side or _NO)]
        words += [_VALUE + value] if value in values else [_SPELLED, *map(_LETTER.__add__, value)]
    return words + [ASK] * ask or [NOTHING]


@dataclass(frozen=True, slots=True)
class Retold:
    """A finding that was retold, with the words it was told in (from, up to)."""

    row: Row
    first: int
    last: int


def read(words: Sequence[str]) -> list[Retold]:
    """Words as findings; what does not make a finding is left out."""
    found = list[Retold]()
    starts = [n for n, word in enumerate(words) if word.startswith(_TEST)]
    for first, last in zip(starts, [*starts[1:], len(words)], strict=False):
        part = [w for w in words[first:last] if w not in (ASK, NOTHING, END)]
        heads = (_TEST, _SITE, _SIDE, _VALUE)
        if len(part) < 4 or not all(map(str.startswith, part, heads)):
            continue
        test, site, side, value = (w.removeprefix(h) for w, h in zip(part, heads, strict=False))
        if part[3] == _SPELLED:
            value = "".join(w.removeprefix(_LETTER) for w in part[4:])
        place = None if site == _NO else site
        for one in ("right", "left") if side == _BOTH else (None if side == _NO else side,):
            found.append(Retold((test, place, one, value), first, first + len(part)))
    return found


def alphabet(rows: Iterable[Row], often: int) -> tuple[list[str], list[str]]:
    """All words that such findings need, and the values that are words of their own.

    Args:
        rows: Findings.
        often: A value that comes so many times is a word of its own.
    """
    counts, seen = dict[str, int](), set[str]()
    for test, site, side, value in rows:
        counts[value] = counts.get(value, 0) + 1
        seen |= {_TEST + test, _SITE + (site or _NO), _SIDE + (side or _NO)}
        seen |= {_LETTER + letter for letter in value}
    whole = sorted(value for value, times in counts.items() if times >= often)
    letters = {_LETTER + one for one in "0123456789+-/. m"}
    marks = [BEGIN, END, NOTHING, ASK, _SPELLED, _SIDE + _BOTH]
    others = sorted((seen | letters | {_VALUE + v for v in whole}) - set(marks))
    return ["<pad>", *marks, *others], whole
