"""Parts of a total after its name: "E4 M3 B4 R1", "face two, left arm three, total five".

Many parts are called by words that mean something else elsewhere, so they are looked for only
between the name of a total and the end of the sentence, and each only before its number.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Part
from dictate.interpret.tokens import Token, norms

#: The label of the total itself, told beside its parts ("total nine").
TOTAL = "total"
#: How a part that could not be tested is written as a detail, after its label.
UNTESTED = " not testable"
_ENDS = frozenset({".", ";", "!", "?"})
_MARKS = frozenset({"=", ":"})


@dataclass(frozen=True, slots=True)
class PartFound:
    """A part in tokens ``start`` to ``end``; ``untested``: it could not be tested."""

    start: int
    end: int
    test: str
    label: str
    untested: bool = False


class Totals:
    """The forms of the parts of every total of a grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the forms, longest first."""
        self._parts: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        self._untested: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        self._between = _MARKS.union(grammar.closed.classes.get("before_number", ()))
        numbers = grammar.numbers.numbers
        self._numbers = frozenset(word for words in numbers.values() for word in words)
        for name, test in grammar.tests.items():
            scale = grammar.scales[test.scale] if test.scale else None
            if scale is None or not scale.parts:
                continue
            parts = {**scale.parts, TOTAL: Part(spoken=scale.total, low=0, high=0)}
            self._parts[name] = _longest(
                (form, label)
                for label, part in parts.items()
                for form in (*part.spoken, *part.after_name)
            )
            lone = [(form, "") for form in scale.untested]
            self._untested[name] = _longest(
                [
                    *lone,
                    *(
                        (f"{form}{gap}{mark}", label)
                        for label, part in scale.parts.items()
                        for form in (*part.spoken, *part.after_name)
                        for mark in part.untested
                        for gap in (" ", "")
                        if gap or (len(form) == 1 and mark.isupper())
                    ),
                ]
            )

    def find(
        self, tokens: Sequence[Token], names: Sequence[tuple[int, Collection[str]]]
    ) -> list[PartFound]:
        """The parts after each name of a total, in order.

        Args:
            tokens: The utterance.
            names: Where a name ends, and the tests that it names.
        """
        found: list[PartFound] = []
        totals = [(end, test) for end, tests in names for test in tests if test in self._parts]
        for n, (end, test) in enumerate(totals):
            until = totals[n + 1][0] if n + 1 < len(totals) else len(tokens)
            found += self._after(tokens, test, end, until)
        return found

    def _after(self, tokens: Sequence[Token], test: str, start: int, until: int) -> list[PartFound]:
        words = [token.norm for token in tokens]
        found: list[PartFound] = []
        i = start
        while i < until and words[i] not in _ENDS:
            for forms, untested in ((self._untested[test], True), (self._parts[test], False)):
                form, label = next(
                    ((f, name) for f, name in forms if tuple(words[i : i + len(f)]) == f), ((), "")
                )
                after = i + len(form)
                if form and (untested or self._numbered(words, after)):
                    lone = untested and not label and not self._numbered(words, i - 1)
                    if not lone:
                        found.append(PartFound(i, after, test, label, untested))
                        i = after - 1
                        break
            i += 1
        return found

    def _numbered(self, words: Sequence[str], i: int) -> bool:
        """A number stands here, or after a joining word."""
        if i < len(words) and words[i] in self._between:
            i += 1
        return 0 <= i < len(words) and (words[i].isdigit() or words[i] in self._numbers)


def _longest(forms: object) -> list[tuple[tuple[str, ...], str]]:
    pairs = [(norms(form), label) for form, label in forms]  # type: ignore[attr-defined]
    return sorted(pairs, key=lambda pair: -len(pair[0]))
