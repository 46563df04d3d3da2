""" "V1-3", "C5-7": the upper end of a range of sites, written by its number alone."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_DASHES = {"-", "–", "—", "−"}


def ends_named(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens with the letter of the lower end before the number of the upper end.

    Args:
        tokens: As they stand; only what is written without a space is such a range.
        grammar: Whose sites are called by a letter and a number.
    """
    out: list[Token] = []
    forms = _numbered(grammar)
    for i, token in enumerate(tokens):
        if i > 2 and tokens[i - 1].norm in _DASHES and token.glued and tokens[i - 1].glued:
            letter, lower = tokens[i - 3].norm, tokens[i - 2].norm
            pair = {(letter, lower), (letter, token.norm)} <= forms
            if pair and int(lower) < int(token.norm) and tokens[i - 2].glued:
                at = token.start
                out.append(Token(letter, tokens[i - 3].text, at, at, True, False))
        out.append(token)
    return out


@lru_cache(maxsize=4)
def _numbered(grammar: Grammar) -> frozenset[tuple[str, str]]:
    """Names of sites that are a letter and a number, folded."""
    groups = (group.sites for group in grammar.groups.values())
    own = (test.sites for test in grammar.tests.values() if not isinstance(test.sites, str))
    forms = (
        tuple(norms(form))
        for sites in (*groups, *own)
        for site in sites.values()
        for form in site.spoken
    )
    return frozenset(
        (f[0], f[1]) for f in forms if len(f) == 2 and f[1].isdigit() and f[0].isalpha()
    )
