"""Text to tokens. Every character stays addressable; "2+", "4+/5" and "C5" fall into their parts.

Grades are put together later by rules over tokens (grades.py), so the tokens are fine: letters,
digits, and single signs. A hyphen between two words joins them ("finger-to-nose" reads as
"finger to nose"); the hyphen of a grade ("4-") and of a range ("II-XII") is kept.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_TOKEN = re.compile(
    r"[^\W\d_]+(?:['’](?!s\b)[^\W\d_]+)?|['’]s\b|[0-9]+(?:\.[0-9]+)?|-+>|\S", re.UNICODE
)
#: An arrow made of two signs is the one that has a sign of its own.
_ARROW = "→"
#: A sentence is cut after so many tokens: nobody says one so long, and reading stays quick.
LONGEST_SENTENCE = 300
_SENTENCE_END = {".", ";", "!", "?", "\n"}


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of an utterance: ``norm`` is folded, ``text`` as written.

    ``start`` and ``end`` are characters of the utterance. ``glued``: no space stands before it.
    ``hyphen``: a hyphen stood between it and the token before.
    """

    norm: str
    text: str
    start: int
    end: int
    glued: bool
    hyphen: bool


def tokenise(text: str) -> list[Token]:
    """Cut a text into tokens, in order; possessive endings and joining hyphens are left out."""
    tokens: list[Token] = []
    matches = list(_TOKEN.finditer(text))
    hyphen = False
    for i, match in enumerate(matches):
        piece = match.group()
        if piece in {"'s", "’s"} or piece in "'\"’`":
            continue
        if piece in {"-", "–", "−"} and _joins(matches, i):
            hyphen = True
            continue
        if _counts(match, text):
            tokens.append(_token(piece[:-1], match.start(), tokens, hyphen))
            piece, hyphen = piece[-1], False
            tokens.append(_token(piece, match.end() - 1, tokens, False))
            continue
        glued = bool(tokens) and tokens[-1].end == match.start()
        if piece[0] == "-" and piece[-1] == ">":
            piece = _ARROW
        tokens.append(
            Token(piece.lower().replace("’", "'"), piece, match.start(), match.end(), glued, hyphen)
        )
        hyphen = False
    return tokens


def _token(text: str, start: int, before: list[Token], hyphen: bool) -> Token:
    glued = bool(before) and before[-1].end == start
    return Token(text.lower().replace("’", "'"), text, start, start + len(text), glued, hyphen)


def _counts(match: re.Match[str], text: str) -> bool:
    """ "AOx3": the x before a number is a word of its own."""
    piece = match.group()
    digit = text[match.end() : match.end() + 1].isdigit()
    return digit and len(piece) > 1 and piece.isalpha() and piece[-1] in "xX"


def _joins(matches: list[re.Match[str]], i: int) -> bool:
    """A hyphen between two letters with no space on either side."""
    if not 0 < i < len(matches) - 1:
        return False
    before, here, after = matches[i - 1], matches[i], matches[i + 1]
    close = before.end() == here.start() and here.end() == after.start()
    return close and before.group()[-1].isalpha() and after.group()[0].isalpha()


def norms(text: str) -> tuple[str, ...]:
    """The folded tokens of a spoken form, as the lexicon stores them."""
    if text.isascii() and text.replace(" ", "").isalpha():
        return tuple(text.lower().split())  # nothing but words, as most forms are
    return tuple(token.norm for token in tokenise(text))


def sentences(tokens: list[Token], text: str) -> list[tuple[int, int]]:
    """Token ranges of the sentences: cut at . ; ! ? and line ends, never inside a number.

    A full stop after a single letter ("C. 5") or before a small letter does not end one.
    """
    ranges: list[tuple[int, int]] = []
    start = 0
    for i, token in enumerate(tokens):
        ends = token.norm in _SENTENCE_END and not _abbreviates(tokens, i)
        if token.norm == "?" and (i == start or (i + 1 < len(tokens) and tokens[i + 1].glued)):
            ends = False  # "?ptosis" doubts what follows
        if i > start and not ends and "\n" in text[tokens[i - 1].end : token.start]:
            ranges.append((start, i))
            start = i
        if ends or i + 1 - start >= LONGEST_SENTENCE:
            ranges.append((start, i + 1))
            start = i + 1
    if start < len(tokens):
        ranges.append((start, len(tokens)))
    return [(a, b) for a, b in ranges if any(t.norm not in _SENTENCE_END for t in tokens[a:b])]


def _abbreviates(tokens: list[Token], i: int) -> bool:
    if tokens[i].norm != "." or i == 0:
        return False
    before = tokens[i - 1]
    single = len(before.text) == 1 and before.text.isalpha() and before.text.isupper()
    return single and i + 1 < len(tokens) and tokens[i + 1].glued
