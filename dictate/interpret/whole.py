"""Whether the whole of what was said is one of some wordings, politeness and hesitation aside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import tokenise

Folded = tuple[str, ...]


def folded(text: str) -> Folded:
    """The words of a text alone: no signs, no capitals."""
    return tuple(
        token.norm for token in tokenise(text.casefold()) if any(map(str.isalnum, token.norm))
    )


def around(grammar: Grammar) -> frozenset[Folded]:
    """Words that mean nothing before or after a request or an answer."""
    return _around(grammar)


def whole_match(text: str, wordings: Mapping[Folded, str], skip: frozenset[Folded]) -> str | None:
    """The meaning of a text that is one of some wordings from its first word to its last.

    Args:
        text: What was heard.
        wordings: Meanings by their words.
        skip: Words that may stand before and after it.

    Returns:
        The meaning, or None. Where more than one part would do, the longest counts.
    """
    for words in without_ends(folded(text), skip):
        if words in wordings:
            return wordings[words]
    return None


def without_ends(words: Folded, skip: frozenset[Folded]) -> Iterator[Folded]:
    """The words with fewer and fewer of those that mean nothing at their two ends."""
    heads = list(_cuts(words, skip))
    tails = list(_cuts(words[::-1], {phrase[::-1] for phrase in skip}))
    spans = sorted(((a, len(words) - b) for a in heads for b in tails), key=lambda s: s[0] - s[1])
    for start, end in spans:
        if start < end:
            yield words[start:end]


def _cuts(words: Sequence[str], skip: frozenset[Folded] | set[Folded]) -> list[int]:
    """How many words may be left out at the start: always none, then each run of fillers."""
    reached = [0]
    for start in reached:
        for length in range(1, len(words) - start + 1):
            stop = start + length
            if tuple(words[start:stop]) in skip and stop not in reached:
                reached.append(stop)
    return sorted(reached)


@lru_cache(maxsize=4)
def _around(grammar: Grammar) -> frozenset[Folded]:
    return frozenset(folded(form) for form in grammar.requests.around)
