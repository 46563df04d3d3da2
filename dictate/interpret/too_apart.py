"""What has "too" or "also" beside it has the value before it: "reduced in the right foot, left foot
too, hands normal". The comma there is read as a semicolon, so that it waits for no value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

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
    forms = _too(grammar)
    out = list(tokens)
    words = [token.norm for token in tokens]
    for i, word in enumerate(words):
        for form in forms.get(word, ()):
            end = i + len(form)
            if tuple(words[i:end]) != form or words[end : end + 1] != [_COMMA]:
                continue
            start = next((j + 1 for j in range(i - 1, -1, -1) if words[j] in _BREAKS), 0)
            name = words[start:i]
            valued = any(w in _valued(grammar) or w.isdigit() for w in name)
            if start and 0 < len(name) <= _LONGEST and not valued:
                out[end] = replace(tokens[end], norm=_SEMICOLON, text=_SEMICOLON)
    return out


def also_apart(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """ "Reduced in the left hand, also pinprick", "normal in the legs and also vibration".

    What comes after "also" and has no value has the one before it, as a sentence of its own.

    Args:
        tokens: Those of an utterance.
        grammar: Its words for "also", for joining and for what is found.
    """
    forms, joins = _too(grammar), {*grammar.speech.join, _COMMA}
    out = list(tokens)
    words = [token.norm for token in tokens]
    for i in range(1, len(words)):
        if words[i] not in joins or words[i - 1] in _BREAKS - {_COMMA}:
            continue
        also = forms.get(words[i + 1], ()) if i + 1 < len(words) else ()
        form = next((f for f in also if f == tuple(words[i + 1 : i + 1 + len(f)])), ())
        start = i + 1 + len(form)
        end = next((j for j in range(start, len(words)) if words[j] in _BREAKS), len(words))
        told = any(word.isdigit() or word in _found(grammar) for word in words[start:end])
        if form and 0 < end - start <= _LONGEST and not told:
            ends = [j for j in (i - 1, end) if words[j : j + 1] == [_COMMA]]
            for at in (i, *ends):
                out[at] = replace(tokens[at], norm=_SEMICOLON, text=_SEMICOLON)
    return out


@lru_cache(maxsize=4)
def _found(grammar: Grammar) -> frozenset[str]:
    """Words that say what was found, or that it was not: what has one says it by itself."""
    values = [value for test in grammar.tests.values() for value in test.values.values()]
    forms = [form for value in values for form in (*value.spoken, *value.alone)]
    forms += [form for words in grammar.sets.values() for form in words]
    forms += [*grammar.speech.negation.before, *grammar.speech.negation.after]
    forms += [*grammar.speech.not_done.not_tested, *grammar.speech.not_done.unable]
    single = (form[0] for form in map(norms, forms) if len(form) == 1)
    return frozenset(single) | _valued(grammar)


@lru_cache(maxsize=4)
def _too(grammar: Grammar) -> dict[str, list[tuple[str, ...]]]:
    """The words for "too", folded, by their first word."""
    forms: dict[str, list[tuple[str, ...]]] = {}
    for form in map(norms, grammar.speech.also):
        forms.setdefault(form[0], []).append(form)
    return forms


@lru_cache(maxsize=4)
def _valued(grammar: Grammar) -> frozenset[str]:
    """Words that no bare name holds: numbers, and "be" ("the left is rigid too, but less")."""
    return grammar.numbers.words().union(grammar.closed.classes.get("be", ()))
