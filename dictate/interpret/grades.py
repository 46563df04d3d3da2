"""Numbers and grades over tokens: "four plus out of five", "5/5", "20/40", "3 mm", "3-4/5".

A grade says nothing yet about its scale: whether "2+" is a reflex or a muscle is decided beside
its test (resolve/fit.py). What cannot be one grade (a range) stays visible as such.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Term
from dictate.interpret.tokens import Token, norms

#: Letters on one line of an acuity chart, at most.
MOST_LETTERS = 5
#: Letters from which on a number right after them is part of a word ("A&Ox3" is none).
LONG_WORD = 4
#: Digits that grades are written in; superscripts and other scripts are no grades.
_DIGITS = frozenset("0123456789")
#: What may stand between the numbers of the two sides: the other side, and words that join.
_SIDES = frozenset({"side", "trails"})
_JOINS = frozenset({"join", "glue", "place", "filler", "also"})


@dataclass(frozen=True, slots=True)
class Grade:
    """A spoken or typed number that may be a grade; ``start``/``end`` are tokens.

    ``of`` and ``of_sign`` are the number after "of", "out of" or a slash. ``slash``: it was a
    slash, so "a/b" may be a pair of sides. ``until``: the upper end where a range was said.
    ``unit``: a unit said after it. ``counts``: it counts
    something ("five minutes") and is no grade. ``plusses``: the grade was said as "++".
    ``missed``: it counts what was not achieved ("lost two"). ``lost``: of "four out of five", no
    more than the total was understood.
    ``extra``: tokens of the grade that are a detail of it (the size it shrinks to, letters missed).
    """

    number: str
    sign: str
    start: int
    end: int
    of: str | None = None
    of_sign: str = ""
    slash: bool = False
    until: str | None = None
    unit: str | None = None
    plusses: bool = False
    counts: bool = False
    extra: tuple[int, int] | None = None
    missed: bool = False
    lost: bool = False

    @property
    def text(self) -> str:
        """The grade itself, as records write it ("4+")."""
        return f"{self.number}{self.sign}"


class GradeReader:
    """Finds the grades of an utterance; built once for a grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Take number words, signs and units from the grammar."""
        numbers = grammar.numbers
        self._value = {word: int(n) for n, words in numbers.numbers.items() for word in words}
        fillers = {*grammar.speech.filler, *grammar.speech.hesitation}
        self._cries = fillers & self._value.keys()
        self._half = sorted((norms(word) for word in numbers.half), key=len, reverse=True)
        self._point = set(numbers.point)
        self._none = set(numbers.none)
        self._plus = set(numbers.plus)
        self._minus = set(numbers.minus)
        self._roman = {word.lower(): n for n, words in numbers.roman.items() for word in words}
        self._sounds = grammar.misheard.numbers()
        self._of = sorted((norms(word) for word in grammar.speech.of), key=len, reverse=True)
        self._of_as_great = frozenset(grammar.speech.of_as_great)
        self._of_opens = {words[0] for words in self._of if len(words) > 1}
        self._range = set(grammar.speech.range)
        self._totals = {str(s.of) for s in grammar.scales.values() if s.of_says_scale}
        units: dict[tuple[str, ...], str] = {}
        for scale in grammar.scales.values():
            if scale.unit:
                units.update({norms(word): scale.unit.writes for word in scale.unit.spoken})
        self._counts = set(grammar.speech.units)
        self._units = sorted(units.items(), key=lambda pair: -len(pair[0]))
        #: Units that count things as well ("for ten seconds").
        self._counting = {
            writes
            for words, writes in units.items()
            if len(words) == 1 and words[0] in self._counts
        }
        self._measured_in = {
            name: grammar.scales[test.scale].unit.writes  # type: ignore[union-attr]
            for name, test in grammar.tests.items()
            if test.scale and grammar.scales[test.scale].unit
        }
        self._needed = {
            scale.unit.writes
            for scale in grammar.scales.values()
            if scale.unit and scale.unit_needed
        }
        self._adds = {name: frozenset(test.measured) for name, test in grammar.tests.items()}
        self._acuity_first = {str(n) for s in grammar.scales.values() for n in s.first}
        self._acuity_second = {str(n) for s in grammar.scales.values() for n in s.second}

    @property
    def words(self) -> frozenset[str]:
        """Every number word and spoken sign."""
        return frozenset([*self._value, *self._plus, *self._minus, *self._sounds])

    def find(self, tokens: list[Token], taken: set[int], terms: Sequence[Term] = ()) -> list[Grade]:
        """All grades, in order.

        Args:
            tokens: The utterance.
            taken: Tokens that belong to longer terms ("C5", "V1") and are no numbers.
            terms: What the grammar knows in it; a unit is of the test that was named before it.
        """
        found = self._shared(self._found(tokens, taken), terms)
        return [self._of_named(grade, terms) for grade in found]

    def _shared(self, found: list[Grade], terms: Sequence[Term]) -> list[Grade]:
        """ "Right twelve seconds, left four": the other side's number has the same unit.

        Only where a measure of that unit needs one, and nothing but the side stands between.
        """
        for i in range(len(found) - 1):
            one, two = found[i], found[i + 1]
            units = {one.unit, two.unit} - {None}
            plain = not any(g.sign or g.of or g.until or g.counts or g.plusses for g in (one, two))
            if len(units) != 1 or one.unit == two.unit or not plain:
                continue
            (unit,) = units
            between = [t for t in terms if one.end <= t.start and t.end <= two.start]
            kinds = [{r.kind for r in t.readings} for t in between]
            sided = any(k & _SIDES for k in kinds) and all(k & _SIDES or k <= _JOINS for k in kinds)
            width = sum(t.end - t.start for t in between)
            if unit in self._needed and sided and two.start - one.end - width <= 1:
                found[i], found[i + 1] = replace(one, unit=unit), replace(two, unit=unit)
        return found

    def _of_named(self, grade: Grade, terms: Sequence[Term]) -> Grade:
        """Whether a number with a unit measures the test named near it, or only adds to it."""
        if grade.unit is None:
            return grade
        # a word that names a place as well ("great toe") may stand for that place alone
        plain = [t for t in terms if not t.of_kind("site")]
        named = [(t.start, t.of_kind("test", "sign", "after_site")) for t in plain]
        before = [tests for start, tests in named if tests and start < grade.start]
        after = [tests for start, tests in named if tests and start >= grade.end]
        near = {r.test for r in (before[-1] if before else after[0] if after else ())}
        takes = any(self._measured_in.get(test) == grade.unit for test in near)
        adds = any(grade.unit in self._adds.get(test, ()) for test in near)
        counts = not takes and (adds or grade.unit in self._counting)
        return replace(grade, counts=True, unit=None) if counts else grade

    def _found(self, tokens: list[Token], taken: set[int]) -> list[Grade]:
        found: list[Grade] = []
        i = 0
        while i < len(tokens):
            free = i not in taken and not self._cries_out(tokens, i)
            grade = self._grade(tokens, i, taken) if free else None
            if grade is None:
                grade = self._total_alone(tokens, i)
            if grade is not None:
                found.append(grade)
            i = grade.end if grade is not None else i + 1
        return found

    def _cries_out(self, tokens: list[Token], i: int) -> bool:
        """ "Oh right grip is five": no zero where it opens what is said, or leads on."""
        if tokens[i].norm not in self._cries:
            return False
        if not i or not tokens[i - 1].norm.isalnum():
            return True
        after = tokens[i + 1].norm if i + 1 < len(tokens) else ""
        return (
            after.isalnum()
            and after not in self._plus | self._minus
            and not self._of_at(tokens, i + 1)
        )

    def _total_alone(self, tokens: list[Token], i: int) -> Grade | None:
        """ "Proximally do out of five": the total of a scale that names itself by it, and whatever
        the number was, it was not understood; any other total ("points out of 30") is a detail."""
        if tokens[i].norm not in self._of_opens:
            return None
        after = self._of_at(tokens, i)
        total = self._number(tokens, after) if after is not None and after > i + 1 else None
        if total is None:
            return None
        graded = total[0] in self._totals
        return Grade("", "", i, total[1], of=total[0], lost=graded, counts=not graded)

    def _grade(self, tokens: list[Token], i: int, taken: set[int]) -> Grade | None:
        grade = self._signed(tokens, i, taken) or self._sounding(tokens, i)
        if grade is None:
            return self._plusses(tokens, i)
        grade = self._acuity(tokens, grade) or self._with_of(tokens, grade, taken)
        grade = self._with_unit(tokens, self._letters(tokens, grade))
        grade = self._with_range(tokens, grade, taken)
        after = tokens[grade.end].norm if grade.end < len(tokens) else ""
        if after in self._counts and not grade.of and not grade.sign:
            return replace(grade, counts=True, end=grade.end + 1)
        return self._with_unit(tokens, grade)

    def _number(self, tokens: list[Token], i: int) -> tuple[str, int] | None:
        """A number in figures or words from token ``i``: its value and the next token."""
        if i >= len(tokens):
            return None
        norm = tokens[i].norm
        if norm[0] in _DIGITS:
            return norm.lstrip("0") or "0", i + 1
        if norm not in self._value:
            return None
        value, i = self._value[norm], i + 1
        if 20 <= value <= 90 and i < len(tokens):
            unit = self._value.get(tokens[i].norm, 0)
            if 1 <= unit <= 9 and not self._of_at(tokens, i + 1):
                value, i = value + unit, i + 1
        if i < len(tokens) and self._value.get(tokens[i].norm) == 100:
            value, i = value * 100, i + 1
        return str(value), i

    def _signed(self, tokens: list[Token], i: int, taken: set[int]) -> Grade | None:
        start, sign = i, ""
        if tokens[i].norm in self._plus | self._minus:
            if i + 1 in taken or not self._sign_leads(tokens, i):
                return None
            sign = "+" if tokens[i].norm in self._plus else "-"
            i += 1
        number = self._number(tokens, i)
        if number is None:
            return None
        value, i = number
        if not sign:
            sign, i = self._sign(tokens, i)
        value, i = self._fraction(tokens, value, i)
        if _inside_word(tokens, start, i) and self._of_at(tokens, i) is None:
            return None
        while sign:
            again, after = self._sign(tokens, i)
            if not again:
                break
            sign, i = sign + again, after
        return Grade(value, sign, start, i)

    def _sign_leads(self, tokens: list[Token], i: int) -> bool:
        """A sign before its number: "+2" with no space, "minus one" with nothing to end."""
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        if after is None or self._number(tokens, i + 1) is None:
            return False
        if tokens[i].norm.isalpha():
            return i == 0 or self._number(tokens, i - 1) is None
        inside = i and tokens[i].glued and tokens[i - 1].norm[-1].isalnum()
        return after.glued and after.norm[0] in _DIGITS and not inside

    def _fraction(self, tokens: list[Token], value: str, i: int) -> tuple[str, int]:
        """ "three and a half", "two point five": kept, so that it is on no scale of grades."""
        for words in self._half:
            if tuple(token.norm for token in tokens[i : i + len(words)]) == words:
                return f"{value}.5", i + len(words)
        if i < len(tokens) and tokens[i].norm in self._point:
            decimals = self._number(tokens, i + 1)
            if decimals is not None:
                return f"{value}.{decimals[0]}", decimals[1]
        return value, i

    def _sign(self, tokens: list[Token], i: int) -> tuple[str, int]:
        if i >= len(tokens):
            return "", i
        norm = tokens[i].norm
        if norm in self._plus:
            return "+", i + 1
        if norm in self._minus:
            upper = i + 1 < len(tokens) and tokens[i + 1].glued and tokens[i + 1].norm[0] in _DIGITS
            if not (upper and tokens[i].glued):
                return "-", i + 1
        return "", i

    def _sounding(self, tokens: list[Token], i: int) -> Grade | None:
        """A homophone ("for out of five", "too plus"): only where a grade must stand."""
        if tokens[i].norm in self._none:
            after = self._of_at(tokens, i + 1)
            counted = after is not None and self._number(tokens, after) is not None
            return Grade("0", "", i, i + 1) if counted else None
        number = self._sounds.get(tokens[i].norm)
        if number is None or i + 1 >= len(tokens):
            return None
        sign, after = self._sign(tokens, i + 1)
        of = self._of_at(tokens, after)
        if not sign and not (of and self._number(tokens, of)):
            return None
        if tokens[i].norm in self._range and i and self._number(tokens, i - 1):
            return None
        return Grade(number, sign, i, after)

    def _plusses(self, tokens: list[Token], i: int) -> Grade | None:
        """ "++" for a reflex grade, standing alone; more than four are on no scale."""
        end = i
        while end < len(tokens) and tokens[end].norm == "+" and (end == i or tokens[end].glued):
            end += 1
        count = end - i
        if not 1 <= count <= 9 or (tokens[i].glued and i):
            return None
        if end < len(tokens) and tokens[end].glued and tokens[end].norm not in {",", "."}:
            return None
        return Grade(str(count), "+", i, end, plusses=True)

    def _of_at(self, tokens: list[Token], i: int) -> int | None:
        for words in self._of:
            if tuple(token.norm for token in tokens[i : i + len(words)]) == words:
                return i + len(words)
        return None

    def _of_as_great_at(self, tokens: list[Token], grade: Grade) -> int | None:
        """ "Five on five"; in "five on one side" it is something else."""
        after = grade.end + 1
        if after >= len(tokens) or tokens[grade.end].norm not in self._of_as_great:
            return None
        number = self._number(tokens, after)
        said, of = grade.number, number[0] if number else ""
        if not (said.isdigit() and of.isdigit()) or int(of) < max(int(said), 2):
            return None
        return after

    def _with_of(self, tokens: list[Token], grade: Grade, taken: set[int]) -> Grade:
        after = self._of_at(tokens, grade.end) or self._of_as_great_at(tokens, grade)
        if after is None or after in taken:
            return grade
        slash = tokens[grade.end].norm == "/"
        lower = self._signed(tokens, after, taken) if after < len(tokens) else None
        roman = self._roman.get(tokens[after].norm) if slash and after < len(tokens) else None
        if roman is not None:
            return replace(grade, of=roman, end=after + 1, slash=slash)
        if lower is None:
            return grade
        return replace(grade, of=lower.number, of_sign=lower.sign, end=lower.end, slash=slash)

    def _with_range(self, tokens: list[Token], grade: Grade, taken: set[int]) -> Grade:
        """ "3-4/5", "one to two plus": the upper end makes it a range."""
        i = grade.end
        if i + 1 >= len(tokens) or (i + 1) in taken or grade.of_sign:
            return grade
        joined = tokens[i].norm in {"-", "–", "−"} and tokens[i].glued and tokens[i + 1].glued
        if not joined and tokens[i].norm not in self._range:
            return grade
        upper = self._signed(tokens, i + 1, taken)
        if upper is None:
            return grade
        upper = self._with_of(tokens, upper, taken)
        falls = not (grade.sign or upper.sign or upper.of) and _less(upper.number, grade.number)
        return replace(
            grade,
            extra=(i, upper.end) if falls else None,
            until=upper.text,
            of=upper.of or grade.of,
            of_sign=upper.of_sign,
            slash=upper.slash or grade.slash,
            end=upper.end,
        )

    def _letters(self, tokens: list[Token], grade: Grade) -> Grade:
        """ "twenty over forty minus two": letters missed or read beyond a line are a detail."""
        chart = grade.number in self._acuity_first and grade.of in self._acuity_second
        start = grade.end - 1 if grade.of_sign else grade.end
        if not chart or start + 1 >= len(tokens):
            return grade
        sign = tokens[start].norm in self._plus | self._minus
        number = self._number(tokens, start + 1) if sign else None
        if number is None or int(float(number[0])) > MOST_LETTERS:
            return grade
        return replace(grade, of_sign="", end=number[1], extra=(start, number[1]))

    def _with_unit(self, tokens: list[Token], grade: Grade) -> Grade:
        for words, writes in self._units:
            if tuple(t.norm for t in tokens[grade.end : grade.end + len(words)]) == words:
                return replace(grade, unit=writes, end=grade.end + len(words))
        return grade

    def _acuity(self, tokens: list[Token], grade: Grade) -> Grade | None:
        """ "twenty twenty", "twenty two hundred": two numbers of a chart side by side."""
        if grade.sign or grade.of or not grade.number.isdigit():
            return None
        words = [self._value.get(token.norm) for token in tokens[grade.start : grade.end]]
        if len(words) == 1 and grade.number in self._acuity_first and grade.number == "20":
            lower = self._number(tokens, grade.end)
            if lower and lower[0] in self._acuity_second and int(lower[0]) >= 10:
                return replace(grade, of=lower[0], end=lower[1])
        if len(words) == 3 and words[0] == 20 and words[2] == 100 and words[1]:
            return replace(grade, number="20", of=str(words[1] * 100))
        return None


def _inside_word(tokens: list[Token], start: int, end: int) -> bool:
    """ "head2", "tools2-base": a number that is part of a word, as names of things have it."""
    before = tokens[start - 1] if start and tokens[start].glued else None
    if before is None or not before.text.isalpha() or len(before.text) < LONG_WORD:
        return False
    goes_on = end < len(tokens) and tokens[end].glued and tokens[end].text.isalpha()
    return end == start + 1 or goes_on


def _less(a: str, b: str) -> bool:
    """Whether one number is smaller than another, both as written."""
    try:
        return float(a) < float(b)
    except ValueError:
        return False
