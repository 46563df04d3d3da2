"""The second reader's sentences whose words of a correction only interrupt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.interpret.interrupted import (
    CUE,
    IDLE,
    NAME,
    SPOKEN,
    STRANGE,
    VALUE,
    only_interrupts,
)
from dictate.parse.amending import value_of
from dictate.parse.categories import Val
from dictate.parse.items import Item, folded

if TYPE_CHECKING:
    from dictate.parse.stating import Stating

_KINDS = {
    "TEST": NAME, "SITE": NAME, "SIGN": NAME, "SIDE": NAME, "NOTDONE": NAME, "REPEAT": NAME,
    "TAKEBACK": NAME, "SWAP": NAME, "DENY": VALUE, "DENIED": VALUE, "REST": NAME, "EXCEPT": NAME,
    "UNKNOWN": STRANGE, "TALK": STRANGE,
}  # fmt: skip
_MENDS = frozenset({"wrong", "mends", "cue", "flip", "all_of_it"})


def interrupts(n: Stating, items: list[Item]) -> bool:
    """Words that announce a correction correct nothing here: something else is spoken of.

    Args:
        n: The narration.
        items: Those of one sentence.
    """
    said = [(" ".join(folded(it.text)), _kind(n, it)) for it in items if it.roles[0] != "COMMA"]
    return only_interrupts(said, n.grammar)


def _kind(n: Stating, item: Item) -> str:
    kinds = {r.kind for r in item.readings}
    if kinds & _MENDS or item.grade is not None:
        return NAME
    if "REPLACE" in item.roles or "cue_weak" in kinds:
        return CUE
    if "VALUE" in item.roles:
        now = len(n.s.utterances)
        last = [e.finding for e in n.s.entries if e.utterance >= now - 1]
        val = Val(item, (item.start, item.end), n.types.value(item))
        return VALUE if any(value_of(n, old, val) for old in last) else IDLE
    if kinds & {"you", "instruct", "ask"}:
        return SPOKEN
    return _KINDS.get(item.roles[0], IDLE)
