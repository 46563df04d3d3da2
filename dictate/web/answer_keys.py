"""The key of each answer to a question on the page: one that cannot mean another answer.

A digit answers with that grade and nothing else; "r" and "l" answer with a side and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_lowercase

from dictate.grammar import Grammar
from dictate.model import OTHER_SIDE, Question
from dictate.resolve.menu import answer_of, marks
from dictate.resolve.plain_answers import hints

#: Keys that the page keeps for itself while a question has the focus.
KEPT = "jkpqwxz"
_SIDES = {*OTHER_SIDE, "both"}
_WORDS_ALONE = {"yes", "no"}


@dataclass(frozen=True, slots=True)
class Key:
    """An answer: what is shown, what is answered, and its key (empty where none is free)."""

    label: str
    words: str
    key: str


def answer_keys(question: Question, grammar: Grammar) -> tuple[tuple[Key, ...], tuple[Key, ...]]:
    """The choices of a question, and the answers that any such question takes, with their keys.

    Args:
        question: Any question.
        grammar: Whose wordings are shown.
    """
    labels = [choice.label for choice in question.choices]
    named = marks(question, grammar)
    keys = [_own_key(label, labels) for label in labels]
    taken = {*KEPT, *(side[0] for side in OTHER_SIDE), *filter(None, keys)}
    others = [words for words in hints(question, grammar) if not words.endswith("...")]
    other_keys = []
    for words in others:
        other_keys.append(_free(words, taken))
        taken.add(other_keys[-1])
    for number, label in enumerate(labels):
        if not keys[number]:
            keys[number] = _free(named[number] + label, taken)
            taken.add(keys[number])
    choices = tuple(
        Key(label, answer_of(question, grammar, number), keys[number])
        for number, label in enumerate(labels)
    )
    return choices, tuple(
        Key(words, words, key) for words, key in zip(others, other_keys, strict=True)
    )


def _own_key(label: str, labels: Iterable[str]) -> str:
    """The key that a choice is answered by in any case: a side's letter, or its only digit."""
    if label in _SIDES or label in _WORDS_ALONE:
        return label[0]
    alone = sum(other.startswith(label) for other in labels) == 1
    return label if len(label) == 1 and label.isdigit() and alone else ""


def _free(text: str, taken: set[str]) -> str:
    """The first letter of a text that is free, else any; no digit, which would be a grade."""
    letters = [*(sign for sign in text.casefold() if sign in ascii_lowercase), *ascii_lowercase]
    return next((letter for letter in letters if letter not in taken), "")
