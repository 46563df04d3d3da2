"""How each choice of a question is answered: by its own words, or by a mark.

A choice that is a value or a side is answered by it: with "5" and "2" to choose from, 5 is the
grade five. Every other choice has a letter as its mark, and no choice has a number. The letters
are no value, no grade and no side ("l" and "r" are sides).
"""

from __future__ import annotations

from functools import lru_cache
from string import ascii_lowercase

from dictate.grammar.load import Grammar
from dictate.model import OTHER_SIDE, Choice, Question
from dictate.resolve.questions import NONE

#: Kinds of questions whose choices are values.
_OF_VALUES = {"value", "scale", "conflict"}
_SIDES = {*OTHER_SIDE, "both"}
_LETTERS = [letter for letter in ascii_lowercase if letter not in {side[0] for side in OTHER_SIDE}]


def marks(question: Question, grammar: Grammar) -> tuple[str, ...]:
    """The mark of each choice, empty where the choice is answered by its own words.

    Args:
        question: Any question.
        grammar: Which words are yes and no, and which mean that a question is left open.
    """
    taken = {word for word in _spoken_alone(grammar) if len(word) == 1}
    letters = iter(letter for letter in _LETTERS if letter not in taken)
    return tuple(
        "" if _answers_itself(question, choice, grammar) else next(letters, "")
        for choice in question.choices
    )


def marked(question: Question, grammar: Grammar, words: str) -> Choice | None:
    """The choice whose mark these words are ("b", "b.", "(b)"), if there is one; a side's mark is
    the letter that it begins with."""
    letter = words.strip(" .()").casefold()
    for mark, choice in zip(marks(question, grammar), question.choices, strict=True):
        side = choice.label if choice.label in _SIDES else ""
        if letter and letter in {mark, side[:1]}:
            return choice
    return None


def menu_lines(question: Question, grammar: Grammar) -> list[str]:
    """The choices as they are shown: those that are their own answer in one line, then each mark.

    Args:
        question: Any question.
        grammar: As for ``marks``.
    """
    named = list(zip(marks(question, grammar), question.choices, strict=True))
    own = ", ".join(choice.label for mark, choice in named if not mark)
    return [*([own] if own else []), *(f"{mark}  {c.label}" for mark, c in named if mark)]


def answer_of(question: Question, grammar: Grammar, number: int) -> str:
    """Words that mean one choice and no other.

    Args:
        question: The question.
        grammar: As for ``marks``.
        number: Which choice, from 0.
    """
    label = question.choices[number].label
    same = [choice for choice in question.choices if choice.label.casefold() == label.casefold()]
    return label if len(same) == 1 else marks(question, grammar)[number] or label


def in_todays_words(question: Question, grammar: Grammar, words: str) -> str:
    """An answer of an earlier journal, in which a choice could be named by its number from 1."""
    number = int(words) if words.isdecimal() else 0
    if question.kind in _OF_VALUES or not 1 <= number <= len(question.choices):
        return words
    return answer_of(question, grammar, number - 1)


def _answers_itself(question: Question, choice: Choice, grammar: Grammar) -> bool:
    label = choice.label.casefold()
    if label in {*_SIDES, NONE} or {c.label for c in question.choices} == {"yes", "no"}:
        return True
    values = {finding.value.replace("_", " ") for finding in choice.findings}
    if question.kind in _OF_VALUES and not values:
        return label in _values(grammar)  # a value that leaves another question open
    return values == {label}


@lru_cache(maxsize=4)
def _values(grammar: Grammar) -> frozenset[str]:
    """Every value and every grade, as a choice writes them."""
    words = {value.replace("_", " ") for test in grammar.tests.values() for value in test.values}
    return frozenset(words | {grade for scale in grammar.scales.values() for grade in scale.grades})


def _spoken_alone(grammar: Grammar) -> set[str]:
    answers = grammar.requests.answers
    return {word.casefold() for word in (*answers.yes, *answers.no, *grammar.speech.skip)}
