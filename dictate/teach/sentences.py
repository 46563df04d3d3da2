"""What is spoken to teach the adapted listener: the grammar's words, in sentences, and talk.

Everything comes out of the grammar's data: the phrases that the taught listener expects, the
orders of ``orders.yaml`` beside them, the examples, the confusable pairs of misheard.yaml. So a
test that is added to a grammar file is spoken, and then heard, without a line of code.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from dictate.grammar.load import Grammar
from dictate.grammar.read import read_yaml, shape
from dictate.grammar.schema import Area, Orders, PhrasingFile
from dictate.recognise.phrases import phrases_of
from dictate.recognise.spoken import Speaker
from dictate.teach.instead import Instead, say

#: Parts of the sentences that are asked for: runs of one section, statements of any section
#: joined, one statement, examples with other sides, sites and numbers in them, confusable pairs,
#: lone words, ordinary talk. They add up to 1.
SHARES = {
    "run": 0.14, "joined": 0.14, "one": 0.17, "example": 0.22, "pair": 0.04, "word": 0.05,
    "talk": 0.24,
}  # fmt: skip
#: A sentence has at most so many words: about 25 seconds where it is spoken slowly.
MOST_WORDS = 45
#: Between two statements of one sentence, by how often it stands there.
_BETWEEN = (", ", ", ", ". ", ". ", " and ", " ", ", and ")
#: A line of our own talk, around an examination, is as often there as so many of others.
_OWN_TALK = 12
#: Of so many phrases by lot the one with the rarest word is spoken.
_OF_WHICH = 3
#: One sentence in so many holds a hesitation.
_HESITATES = 12
#: What is sounded while thinking, and no word of a finding.
_SOUNDS = re.compile(r"[a-z]{2,3}")
_KEPT = re.compile(r"[a-z' ,.?]+")


@dataclass(frozen=True, slots=True)
class Sentence:
    """Text as it is to be written, and what kind of sentence it is (a key of ``SHARES``)."""

    text: str
    kind: str


def sentences(grammar: Grammar, count: int, seed: int, talk: Sequence[str] = ()) -> list[Sentence]:
    """Draw sentences; the same for the same grammar, count and seed.

    Args:
        grammar: All that can be said.
        count: How many.
        seed: Fixes the draws.
        talk: Lines of ordinary talk beside those of ``talk.txt``.
    """
    draw = random.Random(seed)
    makers = _makers(grammar, draw, [*own_talk() * _OWN_TALK, *talk])
    found: set[str] = set()
    chosen: list[Sentence] = []
    for kind, share in SHARES.items():
        wanted, tries = len(chosen) + round(count * share), 0
        while len(chosen) < wanted and tries < 20 * count * share + 100:
            tries += 1
            text = _tidy(makers[kind]())
            # a word alone is said by many voices; there are few of them
            if not text or (text in found and kind != "word") or len(text.split()) > MOST_WORDS:
                continue
            found.add(text)
            chosen.append(Sentence(_hesitant(text, grammar, draw), kind))
    draw.shuffle(chosen)
    return chosen


def own_talk() -> list[str]:
    """Ordinary talk around an examination, of our own writing."""
    return (files("dictate.teach") / "talk.txt").read_text("utf-8").splitlines()


def talk_of(path: Path) -> list[str]:
    """Lines of ordinary talk from a text file: the sentences that hold words alone.

    Args:
        path: UTF-8 text; what is no text in it is left out.
    """
    text = path.read_text("utf-8", errors="ignore")
    found = []
    for part in re.split(r"\n%\n|\n\n|(?<=[.!?])\s+", text):
        line = " ".join(part.replace("’", "'").split()).lower().strip("\"' -")
        line = re.sub(r"\s*(--|[;:—])\s*", ", ", line).replace("!", ".")
        if _KEPT.fullmatch(line) and 3 <= len(line.split()) <= 30:
            found.append(line)
    return found


def _makers(grammar: Grammar, draw: random.Random, talk: list[str]) -> dict[str, Callable[[], str]]:
    per_area = [_said_in(grammar, area) for area in grammar.areas]
    every = list(dict.fromkeys(p for area in per_area for p in area))
    pairs = list(_pairs(grammar))
    words = _words(grammar)
    headings = {n: area.heading.spoken for n, area in enumerate(grammar.areas)}
    examples = [said for area in grammar.areas if (said := _examples(grammar, area))]
    instead = Instead(grammar, draw)
    often = Counter(word for phrase in every for word in set(phrase.split()))

    def one(among: Sequence[str]) -> str:
        """Of a few by lot the one with the rarest word, so that each word is spoken."""
        drawn = [draw.choice(among) for _ in range(_OF_WHICH)]
        return min(drawn, key=lambda phrase: min(often[word] for word in phrase.split()))

    def run() -> str:
        number = draw.randrange(len(per_area))
        parts = [one(per_area[number]) for _ in range(draw.randint(2, 6))]
        if draw.random() < 0.4:
            parts.insert(0, draw.choice(headings[number]).lower())
        return _joined(parts, draw)

    def joined() -> str:
        return _joined([one(every) for _ in range(draw.randint(2, 4))], draw)

    def example() -> str:
        said = draw.choice(examples) if examples else every
        parts = [instead(draw.choice(said)) for _ in range(draw.choice((1, 1, 2, 3)))]
        return _joined(parts, draw)

    return {
        "run": run,
        "joined": joined,
        "one": lambda: one(every),
        "example": example,
        "pair": lambda: draw.choice(pairs or every),
        "word": lambda: draw.choice(words),
        "talk": lambda: " ".join(draw.sample(talk, draw.choice((1, 1, 2)))),
    }


def _said_in(grammar: Grammar, area: Area) -> list[str]:
    """Statements about the tests of one area, with the commas that are spoken as pauses."""
    alone = replace(
        grammar, areas=(area,), phrasing=(*_more_orders(), *grammar.phrasing), heard_as={}
    )
    return [*_examples(grammar, area) * 2, *_with_pauses(alone)]


def _examples(grammar: Grammar, area: Area) -> list[str]:
    """What the examples of an area say."""
    speaker = Speaker(grammar)
    return [way for e in area.examples for t in (*e.before, e.say) if (way := say(speaker, t))]


def _with_pauses(grammar: Grammar) -> Iterator[str]:
    """The phrases of a grammar; a mark in an order stays where it stands."""
    # marks stand as words of their own, which the engine of this purpose knows as any other
    marked = tuple(
        orders.model_copy(
            update={"say": tuple(re.sub(r"([,.])", r" \1", way) for way in orders.say)}
        )
        for orders in grammar.phrasing
    )
    for phrase in phrases_of(replace(grammar, phrasing=marked), lambda word: True).phrases:
        yield re.sub(r" ([,.])", r"\1", phrase)


@lru_cache(maxsize=1)
def _more_orders() -> tuple[Orders, ...]:
    text = (files("dictate.teach") / "orders.yaml").read_text("utf-8")
    data, lines = read_yaml("orders.yaml", text)
    found = shape(PhrasingFile, "orders.yaml", data, lines)
    assert isinstance(found, PhrasingFile)
    return found.phrasing


def _pairs(grammar: Grammar) -> Iterator[str]:
    """What is taken for another: each word of a confusable pair, beside the same words."""
    speaker = Speaker(grammar)
    forms = (form for test in grammar.tests.values() for form in test.spoken)
    tests = [way for form in forms if (way := say(speaker, form))]
    values = {form.lower() for forms in grammar.sets.values() for form in forms}
    values |= {
        form.lower()
        for test in grammar.tests.values()
        for value in test.values.values()
        for form in (*value.spoken, *value.alone)
    }
    single = sorted(value for value in values if value.isalpha())
    for beginning, heard in grammar.misheard.opposites.items():
        for value in single:
            rest = value.removeprefix(beginning)
            if value == rest or rest not in values:
                continue
            for number, test in enumerate(tests):
                yield f"{test} {value}"
                yield f"{test} {rest}"
                yield f"{test} {heard[number % len(heard)]} {rest}"
    for word, other in grammar.misheard.heard_for.items():
        for test in tests:
            for value in single[:: max(1, len(single) // 12)]:
                yield f"{value} {word} the {test}"
                yield f"{value} {other} the {test}"
    numbers = grammar.numbers.numbers
    for sound, digit in grammar.misheard.numbers().items():
        for word in numbers.get(digit, ()):
            for test in tests:
                yield f"{test} {word}"
                yield f"{test} {word} {sound} {word}" if sound.isalpha() else f"{word} {test}"
                yield f"{sound} the {test}"


def _words(grammar: Grammar) -> list[str]:
    """Words and requests that are said alone."""
    speech, requests = grammar.speech, grammar.requests
    lists = (
        *grammar.numbers.numbers.values(), grammar.sides.right, grammar.sides.left,
        grammar.sides.both, grammar.sides.other, speech.correction.take_back,
        speech.correction.replace, speech.repeat, requests.answers.yes, requests.answers.no,
        *(getattr(requests.requests, name) for name in type(requests.requests).model_fields),
    )  # fmt: skip
    speaker = Speaker(grammar)
    numbers = [w for words in grammar.numbers.numbers.values() for w in words]
    sides = [*grammar.sides.right, *grammar.sides.left]
    short = {w for w in sides if len(w) < 3}  # only typed
    said = [
        way
        for forms in lists
        for form in forms
        if form not in short and (way := say(speaker, form))
    ]
    return [
        *said,
        *[w.lower() for w in (*numbers, *sides, "yes", "no") if w.isalpha() and w not in short] * 4,
    ]


def _joined(parts: Sequence[str], draw: random.Random) -> str:
    text = parts[0]
    for part in parts[1:]:
        text += draw.choice(_BETWEEN) + part
    return text


def _hesitant(text: str, grammar: Grammar, draw: random.Random) -> str:
    words = text.split()
    if draw.randrange(_HESITATES) or len(words) < 3:
        return text
    sounds = [w for w in grammar.speech.hesitation if w in grammar.speech.filler]
    words.insert(draw.randrange(1, len(words)), draw.choice(sounds or ["um"]))
    return " ".join(words)


def _tidy(text: str) -> str:
    """Lower case, one space, a full stop where more than a word was said."""
    text = " ".join(re.sub(r"\s+([,.?])", r"\1", text.lower()).split()).strip(" ,.")
    if not text or not _KEPT.fullmatch(text):
        return ""
    return f"{text}." if " " in text and text[-1] not in ".?" else text
