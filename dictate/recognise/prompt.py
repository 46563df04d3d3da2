"""The tokens around a text that the open network writes: it begins with them, and ends with one."""

from __future__ import annotations

from dataclasses import dataclass

#: The size of the vocabulary of the network that knows English alone; others know more languages.
_ENGLISH_ALONE = 51_864


@dataclass(frozen=True, slots=True)
class Prompt:
    """``begin``: the tokens before the text (begin, English, write down, no times); ``end``."""

    begin: tuple[int, ...]
    end: int


def prompt_of(vocabulary: int) -> Prompt:
    """The tokens for a network with so large a vocabulary."""
    if vocabulary == _ENGLISH_ALONE:
        return Prompt((50257, 50362), 50256)
    return Prompt((50258, 50259, 50359, 50363), 50257)
