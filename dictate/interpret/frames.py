"""Words put together by a grammar of a few closed classes: "I couldn't actually find any ...".

Auxiliaries, contractions, verbs of seeing and testing, words of doubt and time go together in
thousands of ways, and none of them is a list entry: a pattern names the classes in their order.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Words
from dictate.interpret.tokens import norms

#: What a number of a calendar year looks like where it is written in digits.
_YEAR = r"(?:19|20)\d\d "
#: Stands for any number in digits among the words that a pattern may begin with.
_DIGITS = "0"
_MODIFIED = re.compile(r"^(?P<body>.+?)(?P<many>[?*]?)$")


@dataclass(frozen=True, slots=True)
class Frame:
    """A stretch of tokens that a pattern of some kind matches."""

    start: int
    end: int
    kind: str


@dataclass(frozen=True, slots=True)
class _Element:
    """One part of a pattern: an expression, its forms, whether it may be missing or come again."""

    text: str
    forms: tuple[str, ...]
    optional: bool = False
    again: bool = False


def _beginnings(elements: Sequence[_Element]) -> Iterator[tuple[str, frozenset[str]]]:
    """The words that a pattern may begin with, each with those that may come next.

    "" among the next ones: none need come, or which is not known.
    """
    for i, element in enumerate(elements):
        after = frozenset({""}) if element.again else _firsts(elements[i + 1 :])
        next_of: dict[str, set[str]] = {}
        for form in element.forms:
            first, _, rest = form.partition(" ")
            next_of.setdefault(first, set()).update({rest.split(" ")[0]} if rest else after)
        for first, seconds in next_of.items():
            yield first, after if seconds == after else frozenset(seconds)
        if not element.optional:
            return


def _firsts(elements: Sequence[_Element]) -> frozenset[str]:
    """The words that may come next; "" among them where nothing need come."""
    found: set[str] = set()
    for element in elements:
        found |= {form.split(" ")[0] for form in element.forms}
        if not element.optional:
            return frozenset(found)
    return frozenset(found | {""})


class Frames:
    """Finds the patterns of a grammar in tokens."""

    def __init__(self, grammar: Grammar) -> None:
        """Turn every pattern into an expression, kept under the words it may begin with.

        Args:
            grammar: Its closed classes and their patterns.
        """
        closed = grammar.closed
        digits = grammar.numbers.words()
        self._classes = {name: _forms(words) for name, words in closed.classes.items()}
        self._numbers = [*_forms(tuple(digits))]
        #: By the word that a pattern may begin with: what it does, its number, and the words that
        #: may come next.
        self._openings: dict[str, list[tuple[str, int, frozenset[str]]]] = {}
        self._texts: list[str] = []
        self._compiled: dict[int, re.Pattern[str]] = {}
        for kind, patterns in closed.frames.items():
            for pattern in patterns:
                self._add(kind, pattern)

    def _add(self, kind: str, pattern: str) -> None:
        elements = [self._element(part) for part in pattern.split()]
        number = len(self._texts)
        self._texts.append("".join(element.text for element in elements))
        for first, seconds in _beginnings(elements):
            self._openings.setdefault(first, []).append((kind, number, seconds))

    def _element(self, part: str) -> _Element:
        if part.startswith("!"):
            return _Element(f"(?!{re.escape(part[1:])} )", (), True)
        found = _MODIFIED.match(part)
        assert found is not None
        body, many = found["body"], found["many"]
        if body == "<year>":
            return _Element(f"(?:{_YEAR}){many}", (_DIGITS,), bool(many))
        if body == "<number>":
            text = "|".join([*map(re.escape, self._numbers), r"\d+"])
            return _Element(f"(?:(?:{text}) ){many}", (*self._numbers, _DIGITS), bool(many))
        if body.startswith("<"):
            forms = self._classes[body.strip("<>")]
        else:
            forms = [" ".join(norms(form)) for form in body.split("|")]
        forms = sorted(set(forms), key=len, reverse=True)
        text = "|".join(map(re.escape, forms))
        return _Element(f"(?:(?:{text}) ){many}", tuple(forms), bool(many), many == "*")

    def find(self, words: Iterable[str]) -> Iterator[Frame]:
        """Every match, the longest of each kind from each word on.

        Args:
            words: The folded tokens of an utterance.
        """
        words = list(words)
        text = " ".join(words) + " "
        at = 0
        for i, word in enumerate(words):
            after = self._openings.get(_key(word))
            if after is not None:
                follows = _key(words[i + 1]) if i + 1 < len(words) else " "
                best: dict[str, int] = {}
                for kind, number, seconds in after:
                    if "" not in seconds and follows not in seconds:
                        continue
                    match = self._expression(number).match(text, at)
                    if match is not None and match.end() > at:
                        best[kind] = max(best.get(kind, 0), match.end())
                for kind, end in best.items():
                    yield Frame(i, i + text.count(" ", at, end), kind)
            at += len(word) + 1

    def _expression(self, number: int) -> re.Pattern[str]:
        """A pattern as an expression, made when its first word is heard for the first time."""
        if number not in self._compiled:
            self._compiled[number] = re.compile(self._texts[number])
        return self._compiled[number]


def _key(word: str) -> str:
    return _DIGITS if word.isdigit() else word


def _forms(words: Words) -> list[str]:
    return [" ".join(norms(word)) for word in words]
