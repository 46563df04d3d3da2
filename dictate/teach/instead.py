"""A written text as it is spoken, and the same with other sides, sites and numbers in it."""

from __future__ import annotations

import random
import re

from dictate.grammar.load import Grammar
from dictate.recognise.spoken import Speaker


class Instead:
    """Puts other sides, sites and numbers into a sentence, each where one of its kind stands."""

    def __init__(self, grammar: Grammar, draw: random.Random) -> None:
        """Collect what stands for what.

        Args:
            grammar: All that can be said.
            draw: Decides where something else is put, and what.
        """
        self._draw = draw
        speaker = Speaker(grammar)
        numbers = grammar.numbers.numbers.items()
        small = [w.lower() for n, words in numbers for w in words if n in "012345"]
        large = [w.lower() for n, words in numbers for w in words if n not in "012345"]
        sides = [w.lower() for w in (*grammar.sides.right, *grammar.sides.left)]
        kinds = [[w for w in kind if w.isalpha() and len(w) > 2] for kind in (small, large, sides)]
        own = [test.sites for test in grammar.tests.values() if isinstance(test.sites, dict)]
        for sites in (*(group.sites for group in grammar.groups.values()), *own):
            forms = (form for site in sites.values() for form in site.spoken)
            kinds.append([way for form in forms if (way := say(speaker, form))])
        #: A site that stands in several groups takes its place from the first.
        self._kinds: dict[str, list[str]] = {}
        for kind in kinds:
            for form in kind:
                self._kinds.setdefault(form, kind)
        longest = sorted(self._kinds, key=len, reverse=True)
        self._forms = re.compile(rf"\b(?:{'|'.join(map(re.escape, longest))})\b")

    def __call__(self, text: str) -> str:
        """The sentence; each form stays as it is in half of the cases."""
        draw = self._draw

        def other(found: re.Match[str]) -> str:
            return found[0] if draw.random() < 0.5 else draw.choice(self._kinds[found[0]])

        return self._forms.sub(other, text)


def say(speaker: Speaker, text: str) -> str:
    """A written text as it is spoken, commas and full stops kept; empty where it is only typed."""
    said: list[str] = []
    for piece in re.sub(r"(?<=[^\W\d_])[-–](?=[^\W\d_])", " ", text).split():
        mark = piece[-1] if piece[-1] in ",.;:?" and len(piece) > 1 else ""
        units = speaker.units(piece[: -len(mark)] if mark else piece)
        words = [word for unit in units for word in unit.said[0]]
        if not words:
            return ""
        words[-1] += {";": ",", ":": ","}.get(mark, mark)
        said += words
    return " ".join(said)
