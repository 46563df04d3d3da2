"""What has "too" after it has the value before it: "reduced in the right foot, left foot too, hands
normal". The comma after it is read as a semicolon, so that it waits for no value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_COMMA, _SEMICOLON = ",", ";"
_BREAKS = frozenset({",", ";", ":", ".", "!", "?"})
#: More words than that before "too" are more than a name.
_LONGEST = 5


def too_apart(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens with a semicolon after each name that has "too" after it.

    Args:
        tokens: Those of an utterance.
        grammar: Its words for "too", and its number words.
    """
    forms = [norms(form) for form in grammar.speech.also]
    firsts = {form[0] for form in forms}
    out = list(tokens)
    if not any(token.norm in firsts for token in tokens):
        return out
    numbers = {word for words in grammar.numbers.numbers.values() for word in words}
    said = {*grammar.closed.classes.get("be", ())}  # "the left is rigid too, but less"
    words = [token.norm for token in tokens]
    for i, word in enumerate(words):
        if word not in firsts:
            continue
        for form in forms:
            end = i + len(form)
            if tuple(words[i:end]) != form or words[end : end + 1] != [_COMMA]:
                continue
            start = next((j + 1 for j in range(i - 1, -1, -1) if words[j] in _BREAKS), 0)
            name = words[start:i]
            valued = any(w in numbers or w in said or w.isdigit() for w in name)
            if start and 0 < len(name) <= _LONGEST and not valued:
                out[end] = replace(tokens[end], norm=_SEMICOLON, text=_SEMICOLON)
    return out
