"""Right for left and left for right, in a text and in a finding."""

from __future__ import annotations

import re
from functools import cache

from dictate.model import Finding

from .strategies import GRAMMAR


@cache
def _turned() -> dict[str, str]:
    """Each word of a side with its counterpart, from the grammar's own pairs."""
    pairs = [("right", "left"), ("od", "os"), ("r", "l")]
    pairs += [(f"right{end}", f"left{end}") for end in ("ward", "wards")]
    for group in [g.sites for g in GRAMMAR.groups.values()] + [
        GRAMMAR.sites_of(test) for test in GRAMMAR.tests
    ]:
        for site in group.values():
            held = site.with_side
            pairs += zip(map(str.lower, held.right), map(str.lower, held.left), strict=True)
    return dict(pairs) | {b: a for a, b in pairs}


@cache
def _numbers() -> frozenset[str]:
    """Every number word."""
    return frozenset(word for words in GRAMMAR.numbers.numbers.values() for word in words)


def mirror_text(text: str) -> str:
    """Right for left and left for right, word by word."""
    turned = _turned()

    def other(match: re.Match[str]) -> str:
        word = match.group()
        follows = re.match(r"[RL] ([A-Za-z]+)", text[match.start() :])
        if len(word) == 1 and (follows is None or follows[1].lower() in _numbers()):
            return word  # "R" and "L" are also parts of other names ("L5", "L five")
        back = turned.get(word.lower())
        return word if back is None else back.upper() if word.isupper() else back

    return re.sub(r"[A-Za-z]+", other, text)


def mirror_row(finding: Finding) -> tuple[str, str | None, str | None, str, tuple[str, ...]]:
    """A finding as it must be in the mirrored record."""
    side = {"right": "left", "left": "right", None: None}[finding.side]
    detail = tuple(sorted(mirror_text(words) for words in finding.detail))
    return finding.test, finding.site, side, mirror_text(finding.value), detail
