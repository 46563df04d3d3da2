"""Words that set one side, limb or finding beside another, by closed classes; for both readers.

They work on the folded words of a sentence, and say where such words stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import norms

Words = tuple[str, ...]


@lru_cache(maxsize=64)
def forms(grammar: Grammar, name: str) -> frozenset[Words]:
    """The folded forms of a closed class."""
    return frozenset(map(norms, grammar.classes.get(name, ())))


@lru_cache(maxsize=64)
def _longest(grammar: Grammar, name: str) -> int:
    return max(map(len, forms(grammar, name)), default=0)


def set_against(grammar: Grammar, words: Sequence[str]) -> tuple[int, int] | None:
    """ "(The left one) is better: (deltoid five)": the words that only set it beside the other.

    Args:
        grammar: Its closed classes.
        words: The folded words of a sentence.

    Returns:
        Where they begin and end, or None where there are none.
    """
    auxiliary = forms(grammar, "auxiliary")
    for at, word in enumerate(words):
        if (word,) not in auxiliary and word != "'s":
            continue
        for n in range(_longest(grammar, "than_other"), 0, -1):
            end = at + 1 + n
            said = tuple(words[at + 1 : end])
            closed = end >= len(words) or words[end] in {",", ":", ".", ";"}
            if len(said) == n and closed and said in forms(grammar, "than_other"):
                return at, end
        return None
    return None


def how_much(grammar: Grammar, words: Sequence[str]) -> int | None:
    """ "(The same), but a bit less so": where an afterthought begins that says how much.

    Args:
        grammar: Its closed classes.
        words: The folded words of a sentence.

    Returns:
        The first of its words, or None where the sentence does not end with one.
    """
    of, end = forms(grammar, "how_much"), len(words)
    while end and words[end - 1] in {".", "!"}:
        end -= 1
    start = end
    while start and (words[start - 1],) in of:
        start -= 1
    told = any((word,) in forms(grammar, "how_much_of") for word in words[start:end])
    if not told or not start or words[start - 1] not in grammar.speech.contrast:
        return None
    return start - 1 - (start > 1 and words[start - 2] == ",")
