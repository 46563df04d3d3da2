"""Ordinary words that name a test only beside another of its area: "touch, pain and vibration".

"Sensibility to touch, to pain", "pain: left arm reduced" speak of a test; "back pain" and "no pain"
do not. Such a word is folded to the first word of the test's own names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import Token, norms

_MARKS = frozenset({",", "/", "&", "+"})
_HEADS = frozenset({":", ".", ";"})


@dataclass(frozen=True, slots=True)
class _Words:
    """``name``: the word of a test, by the ordinary word. ``first``, ``last``: of the names of its
    neighbours, by that ordinary word. ``joins``: what may stand between. ``told``: what a heading
    is followed by."""

    name: Mapping[str, str]
    first: Mapping[str, frozenset[str]]
    last: Mapping[str, frozenset[str]]
    joins: frozenset[str]
    told: frozenset[str]


def beside_others(tokens: Sequence[Token], grammar: Grammar) -> list[Token]:
    """The tokens, with each ordinary word that names a test folded to a name of that test.

    Args:
        tokens: Those of an utterance.
        grammar: Its tests and joining words.
    """
    words = _words(grammar)
    out = list(tokens)
    said = [token.norm for token in tokens]
    for i, word in enumerate(said):
        if word in words.name and _names_test(said, i, words):
            out[i] = replace(tokens[i], norm=words.name[word])
            said[i] = words.name[word]
    return out


def _names_test(said: Sequence[str], i: int, words: _Words) -> bool:
    word = said[i]
    a, b = i - 1, i + 1
    while a >= 0 and said[a] in words.joins:
        a -= 1
    while b < len(said) and said[b] in words.joins:
        b += 1
    opens = a < 0 or said[a] in _HEADS
    before = a >= 0 and said[a] in words.last[word]
    after = b < len(said) and said[b] in words.first[word]
    if before or after:
        return (before and (a < i - 1 or after)) or (after and b > i + 1 and opens)
    if a > 0 and said[a] in _HEADS and said[a - 1] in words.last[word]:
        return True  # "sensibility. pain, this is lost"
    head = opens and b < len(said) and said[b] == ":"
    end = next((k for k in range(b + 1, len(said)) if said[k] in _HEADS), len(said))
    return head and any(w in words.told for w in said[b + 1 : end])


@lru_cache(maxsize=4)
def _words(grammar: Grammar) -> _Words:
    """What the grammar says of such words."""
    name: dict[str, str] = {}
    first: dict[str, frozenset[str]] = {}
    last: dict[str, frozenset[str]] = {}
    for test, spec in grammar.tests.items():
        for word in spec.beside:
            area = grammar.area_of(test).tests.values()
            forms = [norms(form) for t in area if t.sites == spec.sites for form in t.spoken]
            own = {norms(form) for form in spec.spoken}
            forms = [form for form in forms if form not in own and word not in form]
            name[word] = norms(spec.spoken[0])[0]
            first[word] = frozenset(form[0] for form in forms)
            last[word] = frozenset(form[-1] for form in forms)
    joins = _MARKS.union(w for w in (*grammar.speech.join, *grammar.speech.article) if " " not in w)
    joins |= frozenset(grammar.closed.classes.get("to_test", ()))
    told = frozenset(
        form
        for kind in ("normal", "reduced")
        for form in grammar.sets.get(kind, ())
        if " " not in form
    )
    return _Words(name, first, last, joins, told)
