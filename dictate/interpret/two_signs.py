""" "Babinski + L, - R": a plus of the one side and a minus of the other are "positive", "negative".

A lone sign may be a dash or belong to a number, so only the two together are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_PLUS, _MINUS = frozenset({"+"}), frozenset({"-", "–", "−"})
_BETWEEN = frozenset({",", ";", "/"})


def two_signs(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens, with such a pair of signs folded to the words for present and absent.

    Args:
        tokens: Those of an utterance.
        grammar: The words of the sides, and those that the signs stand for.
    """
    sides, words = _words(grammar)
    out = list(tokens)
    for i, token in enumerate(tokens):
        if token.norm not in _PLUS | _MINUS or token.glued:
            continue
        for ahead in (True, False):  # "+ L, - R" and "L +, R -"
            other = _other(tokens, i, ahead, sides)
            if other is not None:
                for at in (i, other):
                    kind = "lone_plus" if tokens[at].norm in _PLUS else "lone_minus"
                    out[at] = replace(tokens[at], norm=words.get(kind, tokens[at].norm))
    return out


def _other(
    tokens: Sequence[Token], i: int, ahead: bool, sides: dict[str, frozenset[str]]
) -> int | None:
    """Where the sign of the other side stands, if that is said right after this one."""
    side = _side(tokens, i + 1 if ahead else i - 1, sides)
    if side is None:
        return None
    j = i + (2 if ahead else 1)
    while j < len(tokens) and (tokens[j].norm in _BETWEEN or tokens[j].norm in sides["join"]):
        j += 1
    at, beside = (j, j + 1) if ahead else (j + 1, j)
    wanted = _MINUS if tokens[i].norm in _PLUS else _PLUS
    if at >= len(tokens) or tokens[at].norm not in wanted:
        return None
    found = _side(tokens, beside, sides)
    return at if found is not None and found != side else None


def _side(tokens: Sequence[Token], i: int, sides: dict[str, frozenset[str]]) -> str | None:
    if not 0 <= i < len(tokens):
        return None
    return next((name for name in ("right", "left") if tokens[i].norm in sides[name]), None)


@lru_cache(maxsize=4)
def _words(grammar: Grammar) -> tuple[dict[str, frozenset[str]], dict[str, str]]:
    """The single words of each side and for joining; what the signs stand for."""
    sides = {
        name: frozenset(norms(form)[0] for form in getattr(grammar.sides, name) if " " not in form)
        for name in ("right", "left")
    }
    sides["join"] = frozenset(grammar.speech.join)
    closed = grammar.closed.classes
    signs = ("lone_plus", "lone_minus")  # a grammar of a few files may have neither
    return sides, {kind: closed[kind][0] for kind in signs if kind in closed}
