"""Written forms of the grammar to what a person says for them: "5/5", "2+", "C5", "DTRs".

The words come from the grammar: number words, signs, "out of". What is only ever typed ("b/l",
"(+)", and the words that the grammar lists as typed) has no spoken form.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from dictate.grammar.load import Grammar

_EDGES = ".,;:!?\"'()[]“”’"
_NUMBER = re.compile(r"(\d+)(?:\.(\d+))?")
_GRADE = re.compile(r"(\d+)([+\-−–])")
_FRACTION = re.compile(r"(\d+[+\-−–]?)/(\d+)")
_LETTERS_NUMBER = re.compile(r"([A-Z]{1,2})(\d+)")
_ABBREVIATION = re.compile(r"([A-Z]{2,8})(s?)")
_WORD = re.compile(r"[a-z]+(?:['’][a-z]+)?")
_HYPHEN = re.compile(r"(?<=[^\W\d_])[-–](?=[^\W\d_])")

#: Of the words between the two numbers of a fraction, the first so many are what people say.
_WAYS_OF = 3


@dataclass(frozen=True, slots=True)
class Unit:
    """One written word and the ways to say it; ``written`` is empty where nothing comes back.

    ``word`` is the word itself where it is an ordinary one, else None.
    """

    written: str
    said: tuple[tuple[str, ...], ...]
    word: str | None = None


class Speaker:
    """Says written forms, with the number words of one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        numbers = grammar.numbers
        self._numbers = numbers.numbers
        self._roman = {sign: number for number, signs in numbers.roman.items() for sign in signs}
        self._signs = {
            sign: next((word for word in signs if word.isalpha()), "")
            for signs in (numbers.plus, numbers.minus)
            for sign in signs
        }
        self._point = next(iter(numbers.point), "")
        self._of = tuple(words for words in grammar.speech.of if words[0].isalpha())
        self._typed = frozenset(grammar.speech.typed)

    def units(self, form: str) -> tuple[Unit, ...]:
        """What is said for a form, word by word.

        Args:
            form: As a grammar file writes it.

        Returns:
            Its units; empty where it is only ever typed.
        """
        pieces = _HYPHEN.sub(" ", form).split()
        units: list[Unit] = []
        for place, piece in enumerate(pieces):
            bare = piece if self._is_sign(piece) else piece.strip(_EDGES)
            signless = bare != piece and self._is_sign(bare)
            typed = bare.lower() in self._typed
            numeral = place > 0 and not self._before_word(pieces, place)
            unit = None if signless or typed or not bare else self._unit(bare, numeral)
            if unit is None or not unit.said:
                return ()
            units.append(unit)
        return tuple(units)

    def cardinal(self, number: int) -> Iterator[tuple[str, ...]]:
        """The ways to say a whole number below a thousand, the usual one first."""
        exact = self._numbers.get(str(number), ())
        if exact and number < 100:
            yield from ((word,) for word in exact)
        elif number < 100 and str(number // 10 * 10) in self._numbers:
            tens, ones = (
                self._numbers[str(number // 10 * 10)][0],
                self._numbers[str(number % 10)][0],
            )
            yield (tens, ones)
        elif number < 1000:
            yield from self._hundreds(number)

    def _hundreds(self, number: int) -> Iterator[tuple[str, ...]]:
        hundreds, rest = divmod(number, 100)
        head = self._numbers[str(hundreds)][0]
        tail = next(self.cardinal(rest), ()) if rest else ()
        yield (head, self._numbers["100"][0], *tail)
        if rest >= 10:
            yield (head, *tail)

    def _is_sign(self, piece: str) -> bool:
        return piece in self._signs

    def _before_word(self, pieces: list[str], place: int) -> bool:
        """ "I mean": one letter before a word in small letters is no numeral."""
        after = pieces[place + 1 : place + 2]
        return len(pieces[place]) == 1 and any(map(_WORD.fullmatch, after))

    def _unit(self, piece: str, numeral: bool) -> Unit | None:
        if piece in self._signs:
            return Unit("", ((self._signs[piece],),))
        if piece in self._roman and numeral:
            return Unit("", tuple(self.cardinal(int(self._roman[piece])))[:1])
        if _WORD.fullmatch(folded := piece.lower().replace("’", "'")) and not (
            len(piece) > 1 and _ABBREVIATION.fullmatch(piece)
        ):
            return Unit("", ((folded,),), folded)
        return self._number(piece) or self._letters(piece)

    def _number(self, piece: str) -> Unit | None:
        if found := _NUMBER.fullmatch(piece):
            return Unit("", tuple(self._decimal(found[1], found[2])))
        if found := _GRADE.fullmatch(piece):
            return Unit("", tuple(self._graded(piece)))
        if found := _FRACTION.fullmatch(piece):
            above, below = next(self._graded(found[1]), ()), next(self.cardinal(int(found[2])), ())
            ways = [(*above, *of.split(), *below) for of in self._of[:_WAYS_OF]]
            if int(found[2]) >= 10 and len(found[1]) < 3:
                ways.insert(0, (*above, *below))
            return Unit("", tuple(ways))
        return None

    def _decimal(self, whole: str, part: str | None) -> Iterator[tuple[str, ...]]:
        for words in self.cardinal(int(whole)):
            if part is None:
                yield words
            elif self._point:
                yield (*words, self._point, *(self._numbers[digit][0] for digit in part))
                return

    def _graded(self, grade: str) -> Iterator[tuple[str, ...]]:
        sign = self._signs.get(grade[-1], "")
        for words in self.cardinal(int(grade.rstrip("+-−–"))):
            yield (*words, sign) if sign else words

    def _letters(self, piece: str) -> Unit | None:
        if found := _LETTERS_NUMBER.fullmatch(piece):
            letters, number = tuple(found[1].lower()), int(found[2])
            return Unit(piece, tuple((*letters, *words) for words in self.cardinal(number))[:1])
        if found := _ABBREVIATION.fullmatch(piece):
            letters = tuple(found[1].lower())
            if found[2]:
                letters = (*letters[:-1], f"{letters[-1]}'s")
            return Unit(piece, (letters,), piece.lower())
        return None
