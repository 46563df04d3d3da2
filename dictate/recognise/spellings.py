"""Searches spellings for words that a speech model lacks: known words that sound like them.

The word's phonemes are cut into one to four stretches, and for each stretch the nearest word is
taken. Phonemes are folded into 21 classes to find words at all; the finer likeness of phonemes
orders what was found.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from dictate.recognise.pronunciation import Phones

MOST_WORDS = 4
#: What each word more costs, and what very short words cost besides: the engine hears long and
#: whole words best. In edits of one phoneme.
_PER_WORD = 0.45
_SHORT = {1: 1.2, 2: 0.5}
#: Spellings kept for each beginning of the word while searching.
_KEPT = 12
_LONGEST_WORD = 12
#: Words tried for each stretch, and how far they may lie from it (phonemes).
_TRIED = 4
_FARTHEST = 1.7
_FAR = 99.0

_CLASSES = (
    "P B", "T D", "K G", "F V", "TH DH", "S Z", "SH ZH", "CH JH", "M", "N NG", "L", "R", "W",
    "Y", "HH", "IY IH", "EH EY AE", "AH UH ER", "AA AO OW", "UW", "AY AW OY",
)  # fmt: skip
_CLASS_OF = {phone: chr(97 + n) for n, group in enumerate(_CLASSES) for phone in group.split()}
_VOWELS = frozenset("pqrstu")
#: Pairs of phonemes of different classes that are near to each other.
_NEAR = frozenset(
    frozenset(pair.split())
    for pair in (
        "AH IH", "AH EH", "AH AA", "AH AO", "UH UW", "ER R", "AH AE", "AE AA", "EH IH", "IY Y",
        "UW W", "OW UW", "AY IY", "EY IY", "M N", "TH F", "S SH", "CH SH", "JH ZH", "T CH", "DH D",
        "TH T", "TH S", "AH OW", "AY IH", "DH Z", "L W", "D JH", "N NG",
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True, order=True)
class Spelling:
    """Words that sound like a word; ``cost`` counts the phonemes that differ."""

    cost: float
    words: tuple[str, ...]


class SpellingSearch:
    """Finds spellings among the words that a model knows."""

    def __init__(
        self,
        dictionary: Mapping[str, Sequence[Phones]],
        knows: Callable[[str], bool],
        rare: Callable[[str], float],
        never: Collection[str] = (),
    ) -> None:
        """Index the lexicon; takes about a second.

        Args:
            dictionary: Words with their pronunciations.
            knows: Tells whether the model can hear a word.
            rare: What a word costs for being rare, in phonemes.
            never: Words that no spelling may hold, since they mean something by themselves.
        """
        self._words: dict[str, list[tuple[str, Phones, float]]] = defaultdict(list)
        for word, ways in dictionary.items():
            if word.isalpha() and (len(word) > 1 or word == "a") and word not in never:
                if not knows(word):
                    continue
                for phones in ways:
                    self._words[_fold(phones)].append((word, phones, rare(word)))

    def spellings(self, phones: Phones, most: int = 3) -> tuple[Spelling, ...]:
        """The nearest spellings of a pronunciation, the best first.

        Args:
            phones: The pronunciation.
            most: How many.
        """
        heads: list[list[Spelling]] = [[Spelling(0.0, ())]]
        for end in range(1, len(phones) + 1):
            found: dict[tuple[str, ...], float] = {}
            for start in range(max(0, end - _LONGEST_WORD), end):
                if not heads[start]:
                    continue
                for cost, word in self._nearest(phones[start:end]):
                    for head in heads[start]:
                        if len(head.words) < MOST_WORDS:
                            words = (*head.words, word)
                            whole = head.cost + cost
                            found[words] = min(whole, found.get(words, whole))
            ranked = sorted(Spelling(cost, words) for words, cost in found.items())
            heads.append(ranked[:_KEPT])
        return tuple(heads[-1][:most])

    def _nearest(self, phones: Phones) -> list[tuple[float, str]]:
        """The words nearest to a stretch; of those that sound the same, the commonest."""
        best: dict[Phones, tuple[float, str]] = {}
        extra = _PER_WORD + _SHORT.get(len(phones), 0.0)
        for folded in _neighbours(_fold(phones)):
            for word, others, rare in self._words.get(folded, ()):
                found = (distance(phones, others) + extra + rare, word)
                if found[0] < _FARTHEST + extra and found < best.get(others, (_FAR, "")):
                    best[others] = found
        nearest: dict[str, float] = {}
        for cost, word in sorted(best.values()):
            nearest.setdefault(word, cost)
        return [(cost, word) for word, cost in nearest.items()][:_TRIED]


def distance(one: Phones, other: Phones) -> float:
    """How far apart two pronunciations are, in phonemes."""
    row = [0.0]
    for phone in other:
        row.append(row[-1] + _missed(phone))
    for mine in one:
        above, row = row, [row[0] + _missed(mine)]
        for i, theirs in enumerate(other):
            row.append(
                min(
                    above[i] + _mistaken(mine, theirs),
                    above[i + 1] + _missed(mine),
                    row[i] + _missed(theirs),
                )
            )
    return row[-1]


@lru_cache(maxsize=4096)
def _mistaken(one: str, other: str) -> float:
    if one == other:
        return 0.0
    if _CLASS_OF[one] == _CLASS_OF[other]:
        return 0.25
    if frozenset((one, other)) in _NEAR:
        return 0.4
    both = _CLASS_OF[one] in _VOWELS and _CLASS_OF[other] in _VOWELS
    return 0.8 if both else 1.1


def _missed(phone: str) -> float:
    return 0.5 if phone in ("AH", "HH", "Y", "IH") else 0.8


def _fold(phones: Phones) -> str:
    return "".join(_CLASS_OF[phone] for phone in phones)


def _neighbours(folded: str) -> Iterator[str]:
    """The class strings at most one change away."""
    seen = {folded}
    yield folded
    for at in range(len(folded) + 1):
        head, tail = folded[:at], folded[at:]
        changed = [head + tail[1:]] if tail and len(folded) > 2 else []
        for letter in map(chr, range(97, 97 + len(_CLASSES))):
            if len(folded) > 1:
                changed.append(head + letter + tail)
                if tail:
                    changed.append(head + letter + tail[1:])
        for string in changed:
            if string not in seen:
                seen.add(string)
                yield string
