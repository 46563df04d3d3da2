"""Words that announce a correction and only interrupt: "sorry, can somebody turn that down please".

They correct nothing where nothing of the examination is named and no value is said that what was
found last could have; what is said goes on in other words, or to somebody.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item

#: What a piece of such a sentence can be.
CUE, NAME, VALUE, STRANGE, SPOKEN, IDLE = "cue", "name", "value", "strange", "spoken", "idle"
#: So many words that nobody knows, and it is something else that is spoken of.
_STRANGE = 2
_KINDS = {
    "target": NAME, "side": NAME, "grade": NAME, "edge_site": NAME, "not_tested": NAME,
    "unable": NAME, "repeat": NAME, "rest": NAME, "except": NAME, "deny": VALUE, "denied": VALUE,
    "value": VALUE, "unknown": STRANGE, "take_back": NAME, "swap": NAME, "whole_run": NAME,
}  # fmt: skip


def only_interrupts(said: Sequence[tuple[str, str]], grammar: Grammar) -> bool:
    """Whether the words of a correction in a sentence correct nothing.

    Args:
        said: Each item's folded words, and what it is.
        grammar: For the words that only interrupt, and those that are spoken to somebody.
    """
    words: Collection[str] = grammar.classes.get("interrupts", ())
    spoken: Collection[str] = grammar.classes.get("addressed", ())
    first = next((text for text, kind in said if kind == CUE), None)
    if first is None or not all(word in words for word in first.split(" ")):
        return False
    kinds = [SPOKEN if text in spoken else kind for text, kind in said]
    strange = sum(
        len(text.split(" "))
        for (text, _), kind in zip(said, kinds, strict=True)
        if kind in {STRANGE, SPOKEN} and text not in words
    )
    others = [text for text, kind in said if kind == CUE and text is not first]
    turned = any(not all(word in words for word in text.split(" ")) for text in others)
    if NAME in kinds:
        return False
    if VALUE in kinds or turned:
        return strange >= _STRANGE and _requests(said, words, grammar)
    return strange >= _STRANGE - (SPOKEN in kinds)


def _requests(said: Sequence[tuple[str, str]], words: Collection[str], grammar: Grammar) -> bool:
    """Right after those words somebody is asked, or told what will be done."""
    rest = [text for text, _ in said]
    while rest and all(word in words for word in rest[0].replace(",", " ").split()):
        rest.pop(0)
    asking: Collection[str] = grammar.classes.get("requesting", ())
    return bool(rest) and (rest[0] in asking or rest[0].split(" ")[0] in asking)


def interrupts(row: Sequence[Item], grammar: Grammar, fits: Callable[[Item], bool]) -> bool:
    """Whether the first reader's sentence only interrupts.

    Args:
        row: The items of one sentence.
        grammar: For the words that only interrupt.
        fits: Whether what was found last could have the value of an item.
    """
    said = [(item.text, _kind(item, fits)) for item in row if item.end > item.start]
    return only_interrupts(said, grammar)


def _kind(item: Item, fits: Callable[[Item], bool]) -> str:
    if item.others & {"wrong", "mends", "changing"}:
        return NAME
    if item.kind == "replace":
        return CUE
    if item.others & {"you"} or (item.kind == "talk" and item.others & {"instruct", "ask"}):
        return SPOKEN
    kind = _KINDS.get(item.kind, IDLE)
    return IDLE if kind == VALUE and item.kind == "value" and not fits(item) else kind
