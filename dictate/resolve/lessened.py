"""Words of degree that leave nothing normal of a normal value ("barely reacts")."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.beside import forms

#: The closed class of such words.
LESSENING = "lessening"
Span = tuple[int, int]


def lessened(
    grammar: Grammar, words: Sequence[str], beside: Iterable[Span], said: Iterable[Span]
) -> bool:
    """ "The left pupil barely reacts": less than normal, and how much less was not said.

    "Alert but a bit slow": a word of degree that does not touch the value is of something else.

    Args:
        grammar: Its closed class of words of degree.
        words: The folded words of the utterance.
        beside: Where qualifiers stand, in tokens.
        said: Where the words of the normal value and of its name stand.
    """
    ends = {i for a, b in said for i in (a, b)}
    for a, b in beside:
        first = a - 1 if a and words[a - 1] in grammar.speech.article else a
        if tuple(words[a:b]) in forms(grammar, LESSENING) and ends & {first, a, b}:
            return True
    return False
