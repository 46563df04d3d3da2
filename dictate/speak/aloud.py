"""How a sentence on the screen is said: grades and numbers as words, no signs.

The words are those that a recogniser writes, so that the tool knows its own sentence again when
the microphone hears it.
"""

from __future__ import annotations

import re

from dictate.grammar import Grammar

_NUMBER = re.compile(r"(\d+)\s*([+\-−–])?(?!\w)")
#: Between a letter and a number ("C5") a recogniser hears two words.
_LETTER_NUMBER = re.compile(r"(?<=[^\W\d_])(?=\d)")
_QUOTES = str.maketrans("", "", '“”„"«»()[]*_')
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)?")


def aloud(grammar: Grammar, sentence: str) -> str:
    """Write a sentence as it is spoken ("“4+”: where?" as "four plus: where?")."""
    text = _LETTER_NUMBER.sub(" ", sentence.translate(_QUOTES).replace("/", " "))
    text = _NUMBER.sub(lambda found: _grade(grammar, found), text)
    return " ".join(text.split())


def words_of(sentence: str) -> tuple[str, ...]:
    """The words of a sentence as ``aloud`` gives it, in small letters."""
    return tuple(word.casefold().replace("’", "'") for word in _WORD.findall(sentence))


def _grade(grammar: Grammar, found: re.Match[str]) -> str:
    number = number_words(grammar, int(found[1]))
    if found[2] is None:
        return number
    sign = grammar.numbers.plus if found[2] == "+" else grammar.numbers.minus
    return f"{number} {next((word for word in sign if word.isalpha()), '')}"


def number_words(grammar: Grammar, number: int) -> str:
    """A whole number in words; digits where the grammar has no words for it."""
    forms = grammar.numbers.numbers
    if str(number) in forms:
        return forms[str(number)][0]
    tens, ones = number // 10 * 10, number % 10
    if number < 100 and str(tens) in forms and str(ones) in forms:
        return f"{forms[str(tens)][0]} {forms[str(ones)][0]}"
    return str(number)
