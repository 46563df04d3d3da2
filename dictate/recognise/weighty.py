"""Words of the grammar on which a finding hangs, and those that alone can turn it round."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Test
from dictate.recognise.sounds import likeness, sounds_of

#: Words that are compared by sound in full, of those that are near by their letters of sound.
_NEAREST = 8


@dataclass(frozen=True, slots=True)
class Weighty:
    """``critical``: sides, numbers, negations, corrections, exceptions. ``numbers``: those of the
    critical that count or grade. ``trade``: every word of a site, test or value, and these.
    ``idle``: words that join and mean nothing by themselves. ``bridges``: those between two
    numbers, of a range or a scale."""

    critical: frozenset[str]
    numbers: frozenset[str]
    trade: frozenset[str]
    idle: frozenset[str]
    bridges: frozenset[str]


@lru_cache(maxsize=4)
def weighty_words(grammar: Grammar) -> Weighty:
    """Collect them, lower case, without the words that join and mean nothing by themselves."""
    idle = set(
        _single(
            [
                *grammar.speech.glue, *grammar.speech.filler, *grammar.speech.place,
                *grammar.speech.join, *grammar.speech.edge,
                *grammar.speech.degree, *grammar.speech.also, *grammar.speech.not_done.reason,
            ]
        )
    )  # fmt: skip
    numbers = set(_single(grammar.numbers.words()))
    numbers |= set(_single([*grammar.numbers.plus, *grammar.numbers.minus]))
    speech, sides = grammar.speech, grammar.sides
    turns = [
        *sides.right, *sides.left, *sides.both, *sides.other,
        *speech.negation.before, *speech.negation.after, *speech.negation.pseudo,
        *speech.not_done.not_tested, *speech.not_done.unable,
        *speech.correction.replace, *speech.correction.take_back, *speech.exception,
    ]  # fmt: skip
    critical = (set(_single(turns)) - idle) | numbers
    spoken = (form.lower() for form in _forms(grammar) if _is_spoken(form))
    trade = {word for form in spoken for word in form.split() if word.isalpha()}
    trade = (trade | critical) - idle
    bridges = frozenset(_single([*grammar.speech.range, *grammar.speech.of]))
    return Weighty(
        frozenset(critical), frozenset(numbers), frozenset(trade), frozenset(idle), bridges
    )


def _single(forms: Iterable[str]) -> Iterable[str]:
    return (form.lower() for form in forms if _is_spoken(form) and " " not in form)


def _is_spoken(form: str) -> bool:
    """Not an abbreviation that is only ever written."""
    letters = form.replace("'", "").replace(" ", "")
    return letters.isalpha() and len(letters) > 1 and not form.isupper()


def _forms(grammar: Grammar) -> Iterable[str]:
    for group in grammar.groups.values():
        for site in group.sites.values():
            yield from (*site.spoken, *site.plural)
    for forms in grammar.sets.values():
        yield from forms
    for test in grammar.tests.values():
        yield from _test_forms(test)


def _test_forms(test: Test) -> Iterable[str]:
    yield from (*test.spoken, *test.plural, *test.after_site, *test.after_site_plural)
    for words in test.values.values():
        yield from (*words.spoken, *words.alone)
    if isinstance(test.sites, dict):
        for site in test.sites.values():
            yield from (*site.spoken, *site.plural)


class Nearest:
    """Finds the word of the trade that sounds most like what was heard."""

    def __init__(self, words: Iterable[str]) -> None:
        """Work out how the words sound.

        Args:
            words: Lower case.
        """
        found = [(word, sounds) for word in sorted(words) for sounds in sounds_of(word)[:1]]
        self._words = [word for word, _ in found]
        self._sounds = [sounds for _, sounds in found]

    def find(self, sounds: str) -> tuple[str, float]:
        """The nearest word, and how alike it sounds (0 to 1).

        Args:
            sounds: Classes of sounds, as ``sounds_of`` gives them.
        """
        near = process.extract(sounds, self._sounds, scorer=Levenshtein.distance, limit=_NEAREST)
        rated = [(likeness(self._sounds[at], sounds), self._words[at]) for _, _, at in near]
        like, word = max(rated, default=(0.0, ""))
        return word, like
