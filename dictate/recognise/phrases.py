"""What the phrase-taught recogniser expects: the grammar's words, in the orders examiners use.

The engine makes a model of word pairs from the phrases, so a phrase is there for the pairs of
words that it holds, and how often a pair stands in them counts. Every order with a side is built
for the right and for the left, so that neither is the likelier.
"""

from __future__ import annotations

import hashlib
import random
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from dictate.grammar.load import Grammar
from dictate.grammar.phrasing import OF_A_TEST, SIDED, SLOT, shared_slots
from dictate.grammar.schema import Orders
from dictate.recognise import slots
from dictate.recognise.heard_as import Back, Speller
from dictate.recognise.scraps import Scraps
from dictate.recognise.spoken import Speaker

#: More phrases than this are thinned out evenly, to about three in five; the engine reads so
#: many in 0.2 s (measured).
MOST_PHRASES = 36_000
#: Ways to spell one form that are tried, where its words have several spellings each.
_MOST_WAYS = 3
#: The slots are filled by draws that start here; any number does.
_SEED = 1
#: What is usual in a screening examination is said so many times as often as the rest.
_USUAL = 3
#: The grammar's examples are whole sentences, the best there is to learn from.
_EXAMPLES = 3
_TWO_LETTERS = re.compile(r"[A-Z]{1,2}s?")
#: Slots that many tests share.
_OF_SITES = ("site", "sites")


@dataclass(frozen=True)
class Phrases:
    """What the recogniser listens for.

    ``back`` turns its words into the real ones (``heard_as.restore``), ``scraps`` parts of them.
    ``unheard``: words of the grammar that nothing can hear.
    """

    phrases: tuple[str, ...]
    back: Back
    scraps: Scraps = field(compare=False)
    unheard: tuple[str, ...]


def phrases_of(grammar: Grammar, knows: Callable[[str], bool]) -> Phrases:
    """Build the phrases from a grammar alone.

    Args:
        grammar: All that can be said.
        knows: Tells whether the engine can hear a word (lower case).
    """
    builder = _Builder(grammar, knows)
    flat = list(builder.flat())
    unheard = tuple(builder.speller.unheard)
    ordered = [*list(builder.examples()) * _EXAMPLES, *builder.orders()]
    room = max(0, MOST_PHRASES - len(flat))
    phrases = (*flat, *_thinned(ordered, room))
    back = builder.back()
    return Phrases(phrases, back, Scraps(back, builder.own_words()), unheard)


def spoken_hash(grammar: Grammar) -> str:
    """A hash of everything that can be spoken by a grammar: another one was not taught."""
    forms = sorted(set(phrases_of(grammar, lambda word: True).phrases))
    return hashlib.sha256("\n".join(forms).encode()).hexdigest()


def _thinned(groups: Sequence[tuple[str, ...]], room: int) -> Iterator[str]:
    """As many phrases as there is room for, from all parts alike; what is paired stays paired."""
    whole = sum(map(len, groups))
    kept = seen = 0
    for group in groups:
        seen += len(group)
        if kept + len(group) <= min(seen, seen * room // max(whole, 1)):
            kept += len(group)
            yield from group


class _Wheel:
    """Forms as the engine hears them, drawn evenly; the same draws on every run."""

    __slots__ = ("_draw", "ways")

    def __init__(self, ways: Sequence[str], draw: Callable[[], float]) -> None:
        self.ways = ways
        self._draw = draw

    def next(self) -> str:
        return self.ways[int(self._draw() * len(self.ways))]


class _Builder:
    """Puts the phrases of one grammar together."""

    def __init__(self, grammar: Grammar, knows: Callable[[str], bool]) -> None:
        self._grammar = grammar
        self._speaker = Speaker(grammar)
        self.speller = Speller(grammar, knows)
        self._draw = random.Random(_SEED).random
        self._rendered: dict[str, tuple[str, ...]] = {}

    def flat(self) -> Iterator[str]:
        """Every form by itself."""
        yield from dict.fromkeys(
            way
            for form in slots.all_forms(self._grammar, self._speaker)
            for way in self._render(form)
        )

    def back(self) -> Back:
        """What turns spellings back; words that stand so in a form of the grammar stay."""
        forms = slots.all_forms(self._grammar, self._speaker)
        own = f" {' | '.join(dict.fromkeys(form.lower() for form in forms))} "
        spelt = self.speller.back.items()
        return {words: real for words, real in spelt if f" {' '.join(words)} " not in own}

    def own_words(self) -> frozenset[str]:
        """Words of the grammar's forms that the engine hears as they are."""
        forms = slots.all_forms(self._grammar, self._speaker)
        return frozenset(word for form in forms for word in form.lower().split())

    def examples(self) -> Iterator[tuple[str, ...]]:
        """What the grammar's own examples say, and the same for the other side."""
        turn = self._sides()
        turned = {**turn, **{left: right for right, left in turn.items()}}
        for area in self._grammar.areas:
            for example in area.examples:
                for text in (*example.before, example.say):
                    for way in self._render(text)[:1]:
                        words = way.split()
                        mirrored = [turned.get(word, word) for word in words]
                        if mirrored == words:
                            yield (way,)
                        elif example.mirror:
                            yield (way, " ".join(mirrored))

    def orders(self) -> Iterator[tuple[str, ...]]:
        """The orders of common/phrasing.yaml, filled; those with a side in pairs."""
        shared = {name: self._wheel(forms) for name, forms in shared_slots(self._grammar).items()}
        tests = dict(self._test_slots())
        for orders in self._grammar.phrasing:
            lead = orders.each in shared
            groups: dict[str, list[dict[str, _Wheel]]] = {}
            for name, (sites, own) in tests.items():
                together = "" if lead else sites if orders.each in _OF_SITES else name
                groups.setdefault(together, []).append({**shared, **own})
            for together, group in groups.items():
                test = self._grammar.tests.get(together)
                weight = _USUAL if test is not None and test.usual else 1
                yield from self._turns(orders, group, weight)

    def _sides(self) -> dict[str, str]:
        right, left = self._grammar.sides.right, self._grammar.sides.left
        pairs = (pair for pair in zip(right, left, strict=False) if len(pair[0]) > 2)
        return {a.lower(): b.lower() for a, b in pairs if " " not in a + b}

    def _test_slots(self) -> Iterator[tuple[str, tuple[str, dict[str, _Wheel]]]]:
        """Every test with its slots, and the name of the sites that it shares with others."""
        groups: dict[str, dict[str, _Wheel]] = {}
        for name, test in self._grammar.tests.items():
            key = test.sites if isinstance(test.sites, str) else name
            if key not in groups:
                found = slots.site_slots(self._grammar.sites_of(name).values())
                sided = [form for form in found.site if form not in found.unsided]
                groups[key] = {"site": self._wheel(sided), "sites": self._wheel(found.sites)}
            own = slots.of_test(self._grammar, test, self._speaker)
            wheels = {slot: self._wheel(forms) for slot, forms in own.items()}
            yield name, (key, {**groups[key], **wheels})

    def _turns(
        self, orders: Orders, group: Sequence[dict[str, _Wheel]], weight: int
    ) -> Iterator[tuple[str, ...]]:
        """Orders for each form of their chosen slot; tests that share sites take turns."""
        fitting = [
            (pieces, tests)
            for pieces in map(SLOT.split, orders.say)
            if (tests := [wheels for wheels in group if _fits(pieces, wheels)])
        ]
        if not fitting:
            return
        heads = group[0][orders.each].ways
        sides = next(iter(self._sides().items()), ("", ""))
        few = orders.each in OF_A_TEST  # a test that fits few of the orders is not said more often
        times = min(orders.times, len(fitting)) if few else orders.times
        for turn in range(times * weight):
            for number, head in enumerate(heads):
                pieces, tests = fitting[(number + turn) % len(fitting)]
                filled = _fill(pieces, orders.each, head, tests[(number + turn) % len(tests)])
                yield _with_sides(filled, sides)

    def _wheel(self, forms: Iterable[str]) -> _Wheel:
        """The forms that people say in a sentence; abbreviations of two letters are only typed."""
        said = (form for form in forms if not _TWO_LETTERS.fullmatch(form))
        ways = dict.fromkeys(way for form in said for way in self._render(form))
        return _Wheel(tuple(ways), self._draw)

    def _render(self, form: str) -> tuple[str, ...]:
        """The ways in which the engine can hear a form; none where it cannot."""
        if form not in self._rendered:
            units = self._speaker.units(form)
            self._rendered[form] = _ways([self.speller.ways(unit) for unit in units])
        return self._rendered[form]


def _ways(each: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Join the ways of each word of a form; words with several take turns together."""
    if not each or not all(each):
        return ()
    count = min(_MOST_WAYS, max(map(len, each)))
    return tuple(
        dict.fromkeys(" ".join(ways[n % len(ways)] for ways in each) for n in range(count))
    )


def _fits(pieces: Sequence[str], wheels: dict[str, _Wheel]) -> bool:
    """Tell whether a test has forms for every slot of an order."""
    return all(name in SIDED or (name in wheels and wheels[name].ways) for name in pieces[1::2])


def _fill(pieces: Sequence[str], each: str, head: str, wheels: dict[str, _Wheel]) -> list[str]:
    """Put forms into the slots; the sides stay open."""
    words: list[str] = []
    given = False
    for place, piece in enumerate(pieces):
        if place % 2 == 0:
            words += piece.lower().split()
        elif piece in SIDED:
            words.append(piece)
        elif piece == each and not given:
            words.append(head)
            given = True
        else:
            words.append(wheels[piece].next())
    return words


def _with_sides(words: list[str], sides: tuple[str, str]) -> tuple[str, ...]:
    """The phrase; where it speaks of a side, once for each."""
    if not any(word in SIDED for word in words):
        return (" ".join(words),)
    found = []
    for side, across in (sides, sides[::-1]):
        said = {SIDED[0]: side, SIDED[1]: across}
        found.append(" ".join(said.get(word, word) for word in words))
    return tuple(found)
