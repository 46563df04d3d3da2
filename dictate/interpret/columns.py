"""Pairs under a heading that says which column is which: "Power R/L: deltoid 5-/4, biceps 4+/4".

A heading with both sides, a stroke between them and a colon (or nothing) after them puts every
pair of grades below it into that order, until another heading comes. Each number of a pair is
given its side as a word of its own, of no width before the first and in place of the stroke, so
that both readers read "deltoid right 5- left 4". What may be no pair of sides is left as it is:
"4/5", where five is what a grade is out of, and the lines of a chart ("6/9").
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token
from dictate.model import OTHER_SIDE

#: The sides of the two columns, in order.
Columns = tuple[str, str]
_STROKE = "/"
#: The highest number that any graded scale has; above it only a number with its unit is a pair.
_HIGHEST = 5.0


def in_columns(
    tokens: Sequence[Token], held: Columns | None, grammar: Grammar
) -> tuple[list[Token], Columns | None]:
    """The tokens of an utterance with a side before each half of a pair.

    Args:
        tokens: As they stand.
        held: What an earlier heading said of the columns.
        grammar: Whose words name a side, a sign and a unit.

    Returns:
        The tokens to read, and what holds for the next utterance.
    """
    if not any(token.norm == _STROKE for token in tokens):
        return list(tokens), None if _headed(tokens) else held
    sides = {w.lower(): s for s in OTHER_SIDE for w in getattr(grammar.sides, s)}
    at = _heading(tokens, sides)
    if at is not None:
        held = (sides[tokens[at].norm], sides[tokens[at + 2].norm])
        tokens = [*tokens[:at], *tokens[at + 3 :]]
    elif _headed(tokens):
        held = None
    if held is None:
        return list(tokens), held
    return _sided(tokens, held, at or 0, grammar), held


def _heading(tokens: Sequence[Token], sides: Mapping[str, str]) -> int | None:
    """Where "R/L" stands before a colon, or at the end."""
    for i in range(len(tokens) - 2):
        one, two = sides.get(tokens[i].norm), sides.get(tokens[i + 2].norm)
        stroke = tokens[i + 1].norm == _STROKE
        if not (stroke and one and two and OTHER_SIDE[one] == two):
            continue
        after = [t.norm for t in tokens[i + 3 :] if t.norm not in {")", "]"}]
        if i and (not after or after[0] == ":"):
            return i
    return None


def _headed(tokens: Sequence[Token]) -> bool:
    """The utterance begins with a heading of its own."""
    return any(token.norm == ":" for token in tokens[1:])


def _sided(tokens: Sequence[Token], columns: Columns, start: int, grammar: Grammar) -> list[Token]:
    signs = {*grammar.numbers.plus, *grammar.numbers.minus}
    units = {w.lower() for s in grammar.scales.values() if s.unit for w in s.unit.spoken}
    named = {w.lower() for s in OTHER_SIDE for w in getattr(grammar.sides, s)}
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        pair = _pair(tokens, i, signs, units, named) if i >= start else None
        if pair is None:
            out.append(tokens[i])
            i += 1
            continue
        stroke, end = pair
        out.append(_word(columns[0], tokens[i].start, tokens[i].start))
        out += [_apart(tokens[i]), *tokens[i + 1 : stroke]]
        out.append(_word(columns[1], tokens[stroke].start, tokens[stroke].end))
        out += [_apart(tokens[stroke + 1]), *tokens[stroke + 2 : end]]
        i = end
    return out


def _pair(
    tokens: Sequence[Token],
    i: int,
    signs: Collection[str],
    units: Collection[str],
    named: Collection[str],
) -> tuple[int, int] | None:
    """Where the stroke of a pair of grades that begins here is, and where the pair ends."""
    stroke = _after_grade(tokens, i, signs)
    if stroke is None or stroke >= len(tokens) or tokens[stroke].norm != _STROKE:
        return None
    end = _after_grade(tokens, stroke + 1, signs)
    before = tokens[i - 1].norm if i else ""
    after = tokens[end].norm if end is not None and end < len(tokens) else ""
    if end is None or {before, after} & {*named, _STROKE}:
        return None
    first, second = tokens[i].norm, tokens[stroke + 1].norm
    sized = after in units
    bare = end == stroke + 2
    out_of = bare and float(second) == _HIGHEST and first != second and not sized
    small = max(float(first), float(second)) <= _HIGHEST
    return (stroke, end) if (small or sized) and not out_of else None


def _after_grade(tokens: Sequence[Token], i: int, signs: Collection[str]) -> int | None:
    """Where a number with its sign ends."""
    if i >= len(tokens) or not tokens[i].norm.replace(".", "", 1).isdigit():
        return None
    j = i + 1
    return j + 1 if j < len(tokens) and tokens[j].norm in signs and tokens[j].glued else j


def _word(side: str, start: int, end: int) -> Token:
    return Token(side, side, start, end, False, False)


def _apart(token: Token) -> Token:
    return Token(token.norm, token.text, token.start, token.end, False, False)
