"""Words that mean something else by what stands beside them, folded before they are looked up."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.beside_others import beside_others
from dictate.interpret.but_normal import but_normal
from dictate.interpret.rest_alone import rest_alone
from dictate.interpret.said_as import said_as
from dictate.interpret.short_ranges import ends_named
from dictate.interpret.sized import sized
from dictate.interpret.tokens import Token
from dictate.interpret.too_apart import also_apart, too_apart
from dictate.interpret.two_signs import two_signs


def in_context(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens as both readers take them.

    Args:
        tokens: Those of an utterance; where they stand in the text is kept.
        grammar: What is looked up.
    """
    folds = (
        sized, said_as, too_apart, also_apart, rest_alone, beside_others, ends_named, two_signs,
        but_normal,
    )  # fmt: skip
    for fold in folds:
        tokens = fold(tokens, grammar)
    return list(tokens)
