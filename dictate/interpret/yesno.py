"""Yes and no as values: "drift: right no, left yes".

Only right after a sign or its side, and only where nothing follows that the "no" could deny or
correct.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

_IDLE = {"glue", "place", "degree"}
_VALUES = {"value", "grade"}


def yes_and_no(row: list[Item], grammar: Grammar) -> list[Item]:
    """The row with a value for each "yes" and "no" that says that a sign is there, or is not.

    Args:
        row: The items of one sentence.
        grammar: For the words, and for the signs.
    """
    there = {word.lower() for word in grammar.speech.there}
    gone = {word.lower() for word in grammar.speech.not_there}
    said = there | gone
    _how_much(row)
    if not any(item.text in said for item in row):
        return row
    for i, item in enumerate(row):
        if item.text not in said or not _of_sign(row, i) or not _ends(row, i, said):
            continue
        meant = Reading("value", "present" if item.text in there else "absent")
        item.kind, item.readings, item.others = "value", (meant,), frozenset({"value"})
    return row


def _how_much(row: list[Item]) -> None:
    """ "Ptosis right none left mild": how much there is of it on the other side."""
    for i, item in enumerate(row):
        if item.kind != "degree" or not _ends(row, i, set()):
            continue
        told = [x for x in row[:i] if x.kind not in _IDLE]
        kinds = [x.kind for x in told if x.kind != "target" or _is_sign(x)][-4:]
        if kinds != ["target", "side", "value", "side"]:
            continue
        absent = [x for x in told if x.kind == "value"][-1:]
        if all(any(r.id == "absent" and not r.test for r in x.of_kind("value")) for x in absent):
            sign = [x for x in told if x.kind == "target" and _is_sign(x)][-1]
            tests = {r.test for r in sign.of_kind("sign", "test")}
            much = tuple(Reading("detail", item.text, test=test) for test in sorted(tests))
            item.kind, item.readings = "value", (Reading("value", "present"), *much)


def _of_sign(row: Sequence[Item], i: int) -> bool:
    """It stands right after a sign, or after a place or a side of a sign named before."""
    before = row[i - 1] if i else None
    if before is None or before.kind not in {"target", "side"}:
        return False
    if before.kind == "target" and _is_sign(before):
        return True
    named = any(item.kind == "target" and _is_sign(item) for item in row[:i])
    alone = i == 1 and before.kind == "side"  # "Clonus on the right. L no."
    return named or alone


def _is_sign(item: Item) -> bool:
    return bool(item.of_kind("sign")) or any(reading.id for reading in item.of_kind("test"))


def _ends(row: Sequence[Item], i: int, said: set[str]) -> bool:
    """Nothing follows, or the other side with a value of its own, or another name."""
    after = [x for x in row[i + 1 :] if x.kind not in _IDLE or x.text in said]
    if not after or after[0].kind == "stop":
        return True
    paused = after[0].kind in {"comma", "and", "but"}
    after = after[paused:]
    if not after:
        return True
    if after[0].kind == "side":
        return len(after) > 1 and (after[1].kind in _VALUES or after[1].text in said)
    return paused and after[0].kind in {"target", "detail", "deny", "quality"}
