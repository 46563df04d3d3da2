"""Pairs under a heading that says which column is which: "Power R/L: deltoid 5-/4, biceps 4+/4".

A heading with both sides, a stroke between them and a colon (or nothing) after them puts every
pair of grades below it into that order, until another heading comes. Each number of a pair is
given its side as a word of its own, of no width before the first and in place of the stroke, so
that both readers read "deltoid right 5- left 4". What may be no pair of sides is left as it is:
"4/5", where five is what a grade is out of (unless a pair in the same list can be nothing else),
and the lines of a chart ("6/9").

The order may stand after its pairs too ("HF 5/4, KE 5/4+ (R/L)"), and it may be spoken ("right then
left: deltoids four and four plus"); then it is that of the pairs of its own utterance.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token
from dictate.model import OTHER_SIDE

#: The sides of the two columns, in order.
Columns = tuple[str, str]
_STROKE = "/"
#: The highest number that any graded scale has; above it only a number with its unit is a pair.
_HIGHEST = 5.0
_OUT_OF = f"{_HIGHEST:.0f}"
#: A pair has no more tokens than that.
_LONGEST = 6
_OPENING, _CLOSING = {"(", "["}, {")", "]", "."}


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
    sides = _sides(grammar)
    spoken = _spoken(tokens, sides, grammar)
    if spoken is not None:
        begin, end = spoken
        columns = sides[tokens[begin].norm], sides[tokens[end - 1].norm]
        pairs = _pairs(grammar, True)
        return pairs.sided([*tokens[:begin], *tokens[end:]], columns, begin), held
    if not any(token.norm == _STROKE for token in tokens):
        return list(tokens), None if _headed(tokens) else held
    pairs = _pairs(grammar, False)
    after = _trailing(tokens, sides, pairs)
    if after is not None:
        columns = sides[tokens[after[0]].norm], sides[tokens[after[0] + 2].norm]
        gone = {k for at in after for k in range(at, at + 3)}
        return pairs.sided([t for k, t in enumerate(tokens) if k not in gone], columns, 0), held
    headed = _heading(tokens, sides)
    head = headed[0] if headed else None
    if headed:
        begin, end = headed
        held = (sides[tokens[begin].norm], sides[tokens[begin + 2].norm])
        tokens = [*tokens[:begin], *tokens[end:]]
    elif _headed(tokens):
        held = None
    if held is None:
        return list(tokens), held
    return pairs.sided(tokens, held, head or 0), held


@lru_cache(maxsize=4)
def _sides(grammar: Grammar) -> dict[str, str]:
    """The words for right and left, folded."""
    return {w.lower(): s for s in OTHER_SIDE for w in getattr(grammar.sides, s)}


@lru_cache(maxsize=8)
def _joins(grammar: Grammar, name: str) -> tuple[tuple[str, ...], ...]:
    """The forms of a class, the longest first."""
    forms = (tuple(form.lower().split(" ")) for form in grammar.classes.get(name, ()))
    return tuple(sorted(forms, key=len, reverse=True))


def _spoken(
    tokens: Sequence[Token], sides: Mapping[str, str], grammar: Grammar
) -> tuple[int, int] | None:
    """Where "right then left" stands before a colon or a comma."""
    if not any(token.norm in {":", ","} for token in tokens[3:]):
        return None
    for i, token in enumerate(tokens):
        for words in _joins(grammar, "in_order") if token.norm in sides else ():
            k = i + 1 + len(words)
            if tuple(t.norm for t in tokens[i + 1 : k]) != words or k + 1 >= len(tokens):
                continue
            turned = sides.get(tokens[k].norm) == OTHER_SIDE[sides[token.norm]]
            if turned and tokens[k + 1].norm in {":", ","}:
                return i, k + 1
    return None


def _trailing(tokens: Sequence[Token], sides: Mapping[str, str], pairs: _Pairs) -> list[int] | None:
    """Where "R/L" stands after pairs, the last of them at the end; None where it does not."""
    found = [
        i
        for i in range(1, len(tokens) - 2)
        if tokens[i + 1].norm == _STROKE
        and (one := sides.get(tokens[i].norm))
        and sides.get(tokens[i + 2].norm) == OTHER_SIDE[one]
    ]
    same = {sides[tokens[i].norm] for i in found}
    if len(same) != 1 or any(t.norm not in _CLOSING for t in tokens[found[-1] + 3 :]):
        return None
    ends = [i - (tokens[i - 1].norm in _OPENING) for i in found]
    return found if all(pairs.ends_at(tokens, end) for end in ends) else None


def _heading(tokens: Sequence[Token], sides: Mapping[str, str]) -> tuple[int, int] | None:
    """Where "R/L" begins and ends, before a colon (with a remark on it), or at the end."""
    for i in range(1, len(tokens) - 2):
        one, two = sides.get(tokens[i].norm), sides.get(tokens[i + 2].norm)
        stroke = tokens[i + 1].norm == _STROKE
        if not (stroke and one and two and OTHER_SIDE[one] == two):
            continue
        after = [t.norm for t in tokens[i + 3 :]]
        if not after or set(after) <= _CLOSING or after[0] == ":":
            return i, i + 3
        colon = after.index(":") if ":" in after[:_LONGEST] else 0
        if colon and all(word.isalpha() or word in _CLOSING for word in after[:colon]):
            return i, i + 3 + colon
    return None


def _headed(tokens: Sequence[Token]) -> bool:
    """The utterance begins with a heading of its own."""
    return any(token.norm == ":" for token in tokens[1:])


class _Pairs:
    """Finds pairs of grades by one grammar, joined by a stroke or by words."""

    def __init__(self, grammar: Grammar, joins: Sequence[tuple[str, ...]]) -> None:
        numbers = grammar.numbers
        self._signs = {*numbers.plus, *numbers.minus}
        self._units = {w.lower() for s in grammar.scales.values() if s.unit for w in s.unit.spoken}
        self._named = {*_sides(grammar), *(w.lower() for w in grammar.sides.both)}
        self._words = {w: n for n, forms in numbers.numbers.items() for w in forms}
        self._joins = joins
        self._spoken = (_STROKE,) not in joins

    def sided(self, tokens: Sequence[Token], columns: Columns, start: int) -> list[Token]:
        """The tokens with a side before each half of a pair, from an index on."""
        out: list[Token] = []
        i = 0
        pairs = [pair for k in range(start, len(tokens)) if (pair := self._pair(tokens, k))]
        sure = any(end > at + 1 or tokens[at].norm != _OUT_OF for _, at, end in pairs)
        while i < len(tokens):
            pair = self._pair(tokens, i, sure) if i >= start else None
            if pair is None:
                out.append(tokens[i])
                i += 1
                continue
            join, second, end = pair
            out.append(_word(columns[0], tokens[i].start, tokens[i].start))
            out += [_apart(tokens[i]), *tokens[i + 1 : join]]
            out.append(_word(columns[1], tokens[join].start, tokens[second - 1].end))
            out += [_apart(tokens[second]), *tokens[second + 1 : end]]
            i = end
        return out

    def ends_at(self, tokens: Sequence[Token], end: int) -> bool:
        """A pair ends right before an index, or before the comma there."""
        last = max(0, end - _LONGEST)
        pairs = (self._pair([*tokens[:end]], i) for i in range(last, end))
        return any(pair is not None and pair[2] == end for pair in pairs)

    def _pair(
        self, tokens: Sequence[Token], i: int, sure: bool = False
    ) -> tuple[int, int, int] | None:
        """Where what joins a pair that begins here is, its second half, and its end.

        ``sure``: another pair beside it can be nothing else, so neither can this one.
        """
        join = self._after_grade(tokens, i)
        words = next((w for w in self._joins if join and _at(tokens, join, w)), None)
        if join is None or words is None:
            return None
        second = join + len(words)
        end = self._after_grade(tokens, second)
        before = tokens[i - 1].norm if i else ""
        after = tokens[end].norm if end is not None and end < len(tokens) else ""
        if end is None or {before, after} & {*self._named, _STROKE}:
            return None
        if _at(tokens, end + 1, (_STROKE,)) and self._number(tokens[end]) is None:
            return None  # "4/5 b/l"
        one, two = self._number(tokens[i]) or "", self._number(tokens[second]) or ""
        sized = after in self._units
        bare = end == second + 1 and not self._spoken
        out_of = bare and float(two) == _HIGHEST and one != two and not sized
        small = max(float(one), float(two)) <= _HIGHEST
        return (join, second, end) if (small or sized) and (sure or not out_of) else None

    def _number(self, token: Token) -> str | None:
        plain = token.norm.replace(".", "", 1).isdigit()
        return token.norm if plain else self._words.get(token.norm) if self._spoken else None

    def _after_grade(self, tokens: Sequence[Token], i: int) -> int | None:
        """Where a number with its sign ends."""
        if i >= len(tokens) or self._number(tokens[i]) is None:
            return None
        signed = i + 1 < len(tokens) and tokens[i + 1].norm in self._signs
        return i + 1 + (signed and (tokens[i + 1].glued or self._spoken))


@lru_cache(maxsize=8)
def _pairs(grammar: Grammar, spoken: bool) -> _Pairs:
    """What finds pairs, made once for a grammar: joined by words where spoken, else by a stroke."""
    return _Pairs(grammar, _joins(grammar, "pair_join") if spoken else ((_STROKE,),))


def _at(tokens: Sequence[Token], i: int, words: Sequence[str]) -> bool:
    return tuple(t.norm for t in tokens[i : i + len(words)]) == tuple(words)


def _word(side: str, start: int, end: int) -> Token:
    return Token(side, side, start, end, False, False)


def _apart(token: Token) -> Token:
    return Token(token.norm, token.text, token.start, token.end, False, False)
