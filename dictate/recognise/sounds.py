"""How words sound: English pronunciations, folded into classes of sounds that are easily mistaken.

Pronunciations come from the CMU Pronouncing Dictionary as PocketSphinx brings it; what is not in
it is spelt out by its phonetic key. The folding follows the usual groups of the phonetics of
English (place and manner of articulation; voicing is dropped, since it is what noise takes first).
"""

from __future__ import annotations

import re
from functools import lru_cache

import jellyfish

from dictate.recognise.pronouncing import pronounced

#: One letter for each class of sounds; upper case is a vowel.
_CLASSES = {
    "p": "P B", "t": "T D", "k": "K G", "f": "F V", "h": "TH DH", "s": "S Z",
    "x": "SH ZH", "c": "CH JH", "m": "M", "n": "N", "g": "NG", "l": "L", "r": "R", "w": "W",
    "y": "Y", "q": "HH", "I": "IY", "J": "IH", "E": "EH", "M": "AE", "U": "AH", "R": "ER",
    "A": "AA AO", "O": "OW", "B": "UH", "W": "UW", "Y": "EY", "X": "AY", "Z": "AW", "V": "OY",
}  # fmt: skip
_OF_PHONE = {phone: letter for letter, phones in _CLASSES.items() for phone in phones.split()}
#: Sounds that are near to each other, cheaper to mistake than others.
_NEAR = (
    "IJ", "JE", "EM", "MU", "UA", "AO", "OB", "BW", "UJ", "UE", "UB", "RU", "RA", "RB", "YE", "YI",
    "XA", "XM", "ZA", "ZM", "ZO", "VO", "VX", "mn", "ng", "mg", "fh", "hs", "sx", "xc", "ht", "tc",
    "pf", "lr", "wr", "wl", "yI", "pt", "tk", "pk", "lO", "lU", "cs", "wW", "RE",
)  # fmt: skip
_VOWELS = frozenset(letter for letter in _CLASSES if letter.isupper())
#: Sounds that are often not spoken at all, or heard where there are none.
_FAINT = frozenset("qUJt")
#: Letters of the phonetic key as classes.
_OF_KEY = {
    "B": "p", "P": "p", "T": "t", "K": "k", "F": "f", "0": "h", "S": "s", "X": "x", "J": "c",
    "M": "m", "N": "n", "L": "l", "R": "r", "W": "w", "Y": "y", "H": "q",
    "A": "M", "E": "E", "I": "J", "O": "A", "U": "U",
}  # fmt: skip


def _costs() -> dict[tuple[str, str], float]:
    costs: dict[tuple[str, str], float] = {}
    for one in _CLASSES:
        for other in _CLASSES:
            both_vowels = one in _VOWELS and other in _VOWELS
            costs[one, other] = 0.0 if one == other else 0.7 if both_vowels else 1.0
    for one, other in ((pair[0], pair[1]) for pair in _NEAR):
        costs[one, other] = costs[other, one] = 0.4
    return costs


#: What it costs to mistake one class for another (0 to 1).
MISTAKE = _costs()
#: What it costs to miss a sound or to hear one too many (0 to 1).
MISSED = {letter: 0.6 if letter in _FAINT else 1.0 for letter in _CLASSES}


@lru_cache(maxsize=8192)
def sounds_of(word: str) -> tuple[str, ...]:
    """How a word may be pronounced, as classes of sounds.

    Args:
        word: One word, lower case.

    Returns:
        One string for each pronunciation, a letter for each sound; none for what is no word.
    """
    ways = pronounced().get(word, ())
    found = dict.fromkeys("".join(_OF_PHONE[phone] for phone in way.split()) for way in ways)
    return tuple(found) or _by_letters(word)


def _by_letters(word: str) -> tuple[str, ...]:
    """A word that no dictionary has: its consonants by its phonetic key, its vowels as written."""
    said = []
    for run in re.findall(r"[aeiouy]+|[^\W\d_aeiouy]+", word.lower()):
        if run[0] in "aeiouy":
            said.append({"y": "J"}.get(run[0]) or _OF_KEY[run[0].upper()])
        else:
            said += [_OF_KEY[letter] for letter in jellyfish.metaphone(run) if letter in _OF_KEY]
    return ("".join(said),) if said else ()


def likeness(one: str, other: str) -> float:
    """How alike two pronunciations sound.

    Args:
        one: Classes of sounds, as ``sounds_of`` gives them.
        other: The same.

    Returns:
        From 0, nothing alike, to 1, the same.
    """
    if not one or not other:
        return 0.0
    row = [0.0]
    for letter in other:
        row.append(row[-1] + MISSED[letter])
    for mine in one:
        above, row = row, [row[0] + MISSED[mine]]
        for i, theirs in enumerate(other):
            row.append(
                min(
                    above[i] + MISTAKE[mine, theirs],
                    above[i + 1] + MISSED[mine],
                    row[i] + MISSED[theirs],
                )
            )
    return max(0.0, 1.0 - row[-1] / max(len(one), len(other)))


def alike(one: str, other: str) -> float:
    """How alike two words or stretches of words sound, in their likest pronunciations (0 to 1)."""
    return max(
        (likeness(a, b) for a in phrase_sounds(one) for b in phrase_sounds(other)), default=0.0
    )


@lru_cache(maxsize=8192)
def phrase_sounds(phrase: str) -> tuple[str, ...]:
    """How a stretch of words may be pronounced; only the usual way of each where there are many."""
    ways = [sounds_of(word) for word in phrase.split()]
    if len(ways) == 1:
        return ways[0]
    return ("".join(way[0] for way in ways if way),)
