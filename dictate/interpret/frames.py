"""Words put together by a grammar of a few closed classes: "I couldn't actually find any ...".

Auxiliaries, contractions, verbs of seeing and testing, words of doubt and time go together in
thousands of ways, and none of them is a list entry: a pattern names the classes in their order.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Words
from dictate.interpret.tokens import norms

#: What a number of a calendar year looks like where it is written in digits.
_YEAR = r"(?:19|20)\d\d "
_MODIFIED = re.compile(r"^(?P<body>.+?)(?P<many>[?*]?)$")


@dataclass(frozen=True, slots=True)
class Frame:
    """A stretch of tokens that a pattern of some kind matches."""

    start: int
    end: int
    kind: str


class Frames:
    """Finds the patterns of a grammar in tokens."""

    def __init__(self, grammar: Grammar) -> None:
        """Turn every pattern into an expression, kept under the words it may begin with.

        Args:
            grammar: Its closed classes and their patterns.
        """
        closed = grammar.closed
        digits = {form for forms in grammar.numbers.numbers.values() for form in forms}
        self._classes = {name: _forms(words) for name, words in closed.classes.items()}
        self._numbers = [*_forms(tuple(digits))]
        self._openings: dict[str, list[tuple[str, re.Pattern[str]]]] = {}
        for kind, patterns in closed.frames.items():
            for pattern in patterns:
                self._add(kind, pattern)

    def _add(self, kind: str, pattern: str) -> None:
        elements = [self._element(part) for part in pattern.split()]
        expression = re.compile("".join(text for text, _, _ in elements))
        firsts: set[str] = set()
        for _, words, optional in elements:
            firsts |= words
            if not optional:
                break
        for word in firsts:
            self._openings.setdefault(word, []).append((kind, expression))

    def _element(self, part: str) -> tuple[str, set[str], bool]:
        """An expression, the words it may begin with, and whether it may be missing."""
        if part.startswith("!"):
            return f"(?!{re.escape(part[1:])} )", set(), True
        found = _MODIFIED.match(part)
        assert found is not None
        body, many = found["body"], found["many"]
        if body == "<year>":
            return f"(?:{_YEAR}){many}", {"<year>"}, bool(many)
        if body == "<number>":
            forms = self._numbers
            text = "|".join([*map(re.escape, forms), r"\d+"])
            return f"(?:(?:{text}) ){many}", {f.split(" ")[0] for f in forms}, bool(many)
        if body.startswith("<"):
            forms = self._classes[body.strip("<>")]
        else:
            forms = [" ".join(norms(form)) for form in body.split("|")]
        forms = sorted(set(forms), key=len, reverse=True)
        text = "|".join(map(re.escape, forms))
        return f"(?:(?:{text}) ){many}", {form.split(" ")[0] for form in forms}, bool(many)

    def find(self, words: Iterable[str]) -> Iterator[Frame]:
        """Every match, the longest of each kind from each word on.

        Args:
            words: The folded tokens of an utterance.
        """
        words = list(words)
        text = " ".join(words) + " "
        at = 0
        for i, word in enumerate(words):
            best: dict[str, int] = {}
            for kind, expression in self._openings.get(word, ()):
                match = expression.match(text, at)
                if match is not None and match.end() > at:
                    best[kind] = max(best.get(kind, 0), match.end())
            for kind, end in best.items():
                yield Frame(i, i + text.count(" ", at, end), kind)
            at += len(word) + 1


def _forms(words: Words) -> list[str]:
    return [" ".join(norms(word)) for word in words]
