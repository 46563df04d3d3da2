"""Comparatives that say what the named side has: "weaker on the left"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dictate.interpret.lexicon import Reading
from dictate.interpret.tokens import norms

#: Before the set of a comparative's word, in the names of their closed classes.
_PREFIX = "comparative_"


def said_of_one(text: str, classes: Mapping[str, Sequence[str]]) -> tuple[Reading, int] | None:
    """The value that the words of a comparison begin with, and how many of them say it.

    Args:
        text: The words, folded.
        classes: The grammar's closed classes.

    Returns:
        None where they begin with no such comparative.
    """
    words = norms(text)
    for name, forms in classes.items():
        if not name.startswith(_PREFIX):
            continue
        for form in forms:
            said = norms(form)
            if words[: len(said)] == said:
                return Reading("value", name[len(_PREFIX) :]), len(said)
    return None
