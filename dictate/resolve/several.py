"""Corrections of several statements at once: "scratch the last three", a side said once."""

from __future__ import annotations

from collections.abc import Iterable

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import norms


def how_many(grammar: Grammar, words: str) -> int | None:
    """The number that words of taking back hold.

    Args:
        grammar: Its number words, and its words for a number that nobody can tell ("few").
        words: As the lexicon found them, folded.

    Returns:
        1 where no number is said, None where it is not clear which.
    """
    said = words.split(" ")
    if any(word in said for word in grammar.classes.get("unclear_number", ())):
        return None
    numbers = [
        int(number)
        for number, forms in grammar.numbers.numbers.items()
        if number.isdigit() and int(number) > 1 and {number, *forms} & set(said)
    ]
    return numbers[0] if len(numbers) == 1 else None if numbers else 1


def last_of(statements: Iterable[int], many: int) -> set[int]:
    """The last so many statements by their numbers; those done by hand have negative ones."""
    return set(sorted({number for number in statements if number >= 0})[-many:])


def said_once(grammar: Grammar, text: str) -> bool:
    """One word for a side stands in a list, so that a side that is put right is that of all of it.

    Args:
        grammar: Its words for right and left.
        text: The utterance of the list.
    """
    forms = [norms(form) for form in (*grammar.sides.right, *grammar.sides.left)]
    sides = {form[0] for form in forms if len(form) == 1}
    return sum(word in sides for word in norms(text)) == 1
