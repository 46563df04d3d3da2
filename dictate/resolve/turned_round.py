""" "No ptosis. Actually there is, on the right.", "Gait normal. No, it isn't.": said, and no more.

Such a sentence names nothing; it turns round what was said last. What is right is asked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.tokens import norms
from dictate.model import UtteranceKind
from dictate.resolve import amends
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: What may stand in it: that it is so, or not, and where.
_IDLE = frozenset({"glue", "place", "side", "degree", "quality", "deny", "denied", "replace"})


def turned_round(resolver: Resolver, reading: Reading, sentence: Sentence) -> UtteranceKind | None:
    """Ask about the last statement; None where the sentence says something else.

    Args:
        resolver: The narration.
        reading: The utterance.
        sentence: One of its sentences.
    """
    if not resolver.entries or not _says_so(resolver, reading, sentence):
        return None
    last = max(entry.statement for entry in resolver.entries)
    here = place(reading, (sentence.start, sentence.end))
    said = [entry for entry in resolver.entries if entry.statement == last]
    amends.doubt(resolver, reading, here, said)
    return "finding"


def _says_so(resolver: Resolver, reading: Reading, sentence: Sentence) -> bool:
    row = [item for item in sentence.row if item.kind not in {"comma", "stop"}]
    while row and (row[0].kind == "replace" or row[0].others & {"filler", "reply"}):
        row = row[1:]
    if not row or any(item.kind not in _IDLE for item in row):
        return False
    words = " ".join(reading.norms((row[0].start, row[-1].end)))
    forms = resolver.grammar.classes.get("elliptic", ())
    return any(f"{words} ".startswith(f"{' '.join(norms(form))} ") for form in forms)
