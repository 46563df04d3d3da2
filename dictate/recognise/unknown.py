"""Words of a grammar that the speech model lacks and that nobody has given a spelling yet.

The spellings that ``dictate grammar hear`` would propose are taken, so that a word which was added
to a grammar file is heard at once; those of a person, in ``heard_as``, come before them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from dictate.errors import UsageError
from dictate.grammar.load import Grammar
from dictate.recognise.pronunciation import pronunciations
from dictate.recognise.propose import propose


def with_spellings(grammar: Grammar, knows: Callable[[str], bool], words: Iterable[str]) -> Grammar:
    """The grammar with spellings for words; a word whose pronunciation nobody knows stays without.

    It takes a second, and a tenth of one for each word.

    Args:
        grammar: All that can be said.
        knows: Tells whether the engine can hear a word (lower case).
        words: Those that it cannot hear.
    """
    said = [word for word in words if word.isalpha() and _is_pronounced(word)]
    found = {word: ways for word, ways in propose(grammar, knows, said) if ways} if said else {}
    return replace(grammar, heard_as={**found, **grammar.heard_as})


def _is_pronounced(word: str) -> bool:
    try:
        return bool(pronunciations(word.lower()))
    except UsageError:  # neither the dictionary nor a synthesiser of this computer says it
        return False
