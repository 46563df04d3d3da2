"""Answers in a row ("sharp, dull, sharp"), and "neither ... nor"."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: Kinds that may stand between two answers.
_BETWEEN = {"comma", "and", "colon"}


def mixed_answers(row: list[Item], answers: Collection[str]) -> list[Item]:
    """What somebody answered each time he was tested is no value that could be recorded.

    "Sharp, dull, sharp" are three answers: a word came again after another. So are "yes, no" and
    "up, up", which only the patient says. After the name of what was tested they become one item
    of doubt; without it they are talk.

    Args:
        row: The items of one sentence.
        answers: Words that a patient answers with.
    """
    if not _several(row, answers):
        return row
    out: list[Item] = []
    i = 0
    while i < len(row):
        end, words = _series(row, i, answers)
        first = i + (row[i].kind == "target")
        tested = any(item.kind == "target" for item in row[:first])
        if tested and end > first and _mixed(row[i:end], words) and not _goes_on(row, end):
            out.extend(row[i:first])
            while row[first].kind in _BETWEEN:
                first += 1
            out.append(Item("doubt", row[first].start, row[end - 1].end, text="answers"))
            i = end
        else:
            out.append(row[i])
            i += 1
    return out


def _several(row: list[Item], answers: Collection[str]) -> bool:
    """Two answers stand side by side; in most sentences they do not."""
    last: Item | None = None
    for item in row:
        if item.kind in _BETWEEN:
            continue
        named = item.kind == "target" and " " in item.text
        if named or item.kind == "value" or ("reply" in item.others and item.kind != "side"):
            pair = last is not None and not (named and last.kind == "target")
            if pair and all(x.kind != "target" or _words(x, answers) for x in (last, item) if x):
                return True
            last = item
        else:
            last = None
    return False


def _series(row: Sequence[Item], i: int, answers: Collection[str]) -> tuple[int, list[str]]:
    """Where a run of answers that begins at ``i`` ends, and its words."""
    end, words = i, list[str]()
    for j in range(i, len(row)):
        found = _words(row[j], answers)
        apart = row[j].kind == "target" and j > i and row[j - 1].text not in answers
        if found and not apart:
            words.extend(found)
            end = j + 1
        elif not words or row[j].kind not in _BETWEEN:
            break
    if words and end < len(row) and row[end].kind == "target" and row[end - 1].kind == "value":
        return end - 1, words[:-1]  # "normal, no numbness, | normal gait"
    return end, words


def _words(item: Item, answers: Collection[str]) -> list[str]:
    """The answers that an item holds; "sharp dull" is the name of a test and two of them."""
    if item.kind == "value":
        return [item.text]
    words = item.text.split()
    return words if words and all(word in answers for word in words) else []


def _mixed(items: Sequence[Item], words: list[str]) -> bool:
    patient = [item for item in items if item.kind not in {"value", "target", *_BETWEEN}]
    again = len(words) > len(set(words)) > 1
    return again or len(patient) > 1


def _goes_on(row: Sequence[Item], end: int) -> bool:
    """ "Yes, no clonus": the last of them belongs to what follows it."""
    after = next((x for x in row[end:] if x.kind not in {"glue", "degree"}), None)
    return row[end - 1].kind == "deny" and after is not None and after.kind in {"target", "unknown"}


def neither_nor(row: list[Item]) -> list[Item]:
    """ "Neither drift nor tremor": both are denied, where the second word of the pair comes too.

    "Nor" after names that nothing denied ("knee or drift nor tremor") leaves them in doubt: what
    denied them was not heard.

    Args:
        row: The items of one sentence; "neither" becomes a denial.
    """
    row = _neither_side(row)
    denied = False
    named: int | None = None
    for i, item in enumerate(row):
        if "neither" in item.others and any("either" in x.others for x in row[i + 1 :]):
            row[i] = replace(item, kind="deny")
            _join_nor(row, i + 1)
        if row[i].kind == "deny" and "either" in item.others and not denied and named is not None:
            return [*row[:named], replace(row[named], kind="doubt"), *row[named:]]
        denied = denied or row[i].kind in {"deny", "denied"}
        if row[i].kind in {"value", "grade", "stop", "but"}:
            named = None
        elif row[i].kind == "target" and named is None and row[i].of_kind("test", "sign"):
            named = i
    return row


def _join_nor(row: list[Item], start: int) -> None:
    """After "neither" the "nor" joins as "or" does, so that a place at the end is of both."""
    for k in range(start, len(row)):
        if row[k].kind in {"stop", "but"}:
            return
        if row[k].kind == "deny" and "either" in row[k].others:
            row[k] = replace(row[k], kind="and")


def _neither_side(row: list[Item]) -> list[Item]:
    """ "Neither ankle shows clonus": what is said of a paired site is denied of both."""
    for i in range(len(row) - 1):
        after = row[i + 1]
        sites = after.kind == "target" and after.of_kind("site") and not after.of_kind("sign")
        valued = {"value", "grade", "denied", "unable", "not_tested"}
        alone = not any("either" in x.others or x.kind in valued for x in row[i + 1 :])
        if "neither" in row[i].others and sites and alone:
            both = Item("side", row[i].end, row[i].end, (Reading("side", "both"),), text="both")
            return [*row[:i], replace(row[i], kind="deny"), both, *row[i + 1 :]]
    return row
