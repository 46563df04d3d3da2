"""Somebody is told to change the record: "change the left grip to four", "put near left 6/12".

What is named after such a word, with a value after it, has that value from now on. Both readers
look for it in the items of a sentence, each of which is told by its words and by what it is.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: What a piece of such a sentence can be.
NAME, VALUE, SIDE, OTHER = "name", "value", "side", "other"
COMMA, COLON, STOP, IDLE = "comma", "colon", "stop", "idle"
_KINDS = {
    "target": NAME, "edge_site": NAME, "value": VALUE, "grade": VALUE, "side": SIDE,
    "comma": COMMA, "colon": COLON, "stop": STOP, "but": STOP, "glue": IDLE, "place": IDLE,
    "degree": IDLE, "detail": IDLE, "quality": IDLE, "direction": IDLE, "edge": IDLE,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """Where the word stands, where what is named begins, and the commas that part nothing.

    ``puts``: it corrects only where something else was found before ("put the left grip at four").
    """

    at: int
    named: int
    commas: frozenset[int]
    puts: bool


def change_told(said: Sequence[tuple[str, str]], grammar: Grammar) -> Change | None:
    """Where a sentence tells somebody to change what is named.

    Args:
        said: Each item's folded words, and what it is.
        grammar: For the words that tell so, and those that may come next ("for me").
    """
    changing, putting, whom = (
        grammar.classes.get(name, ()) for name in ("changing", "putting", "for_whom")
    )
    before = grammar.closed.classes.get("before_changing", ())
    for i, (text, _) in enumerate(said):
        opens = i == 0 or said[i - 1][1] in {COMMA, STOP, IDLE} or said[i - 1][0] in before
        word = text.split(" ")[0]
        if (word in changing or word in putting) and opens and not _named(said[:i]):
            named = _past(said, i + 1, whom)
            commas = _commas(said, named)
            return None if commas is None else Change(i, named, commas, word in putting)
    return None


def _named(said: Sequence[tuple[str, str]]) -> bool:
    """Something waits for its value before it: "the jaw, make it brisk" is no such thing."""
    open_ = False
    for _, kind in said:
        open_ = kind == NAME or (open_ and kind not in {VALUE, STOP})
    return open_


def _past(said: Sequence[tuple[str, str]], i: int, whom: Collection[str]) -> int:
    """Past the words for whom it is done, and past a colon."""
    for end in range(min(len(said), i + 3), i, -1):
        if " ".join(text for text, _ in said[i:end]) in whom:
            i = end
            break
    return i + 1 if i < len(said) and said[i][1] == COLON else i


def _commas(said: Sequence[tuple[str, str]], start: int) -> frozenset[int] | None:
    """The commas between what is named and its value; None where there is no such thing."""
    kinds: set[str] = set()
    commas: set[int] = set()
    for i in range(start, len(said)):
        kind = said[i][1]
        if kind == COMMA and kinds == {SIDE}:
            return None
        if kind == COMMA and NAME in kinds and not commas:
            commas.add(i)
        elif kind in {COMMA, COLON, STOP, OTHER}:
            return None
        kinds.add(kind)
        if NAME in kinds and VALUE in kinds:
            return frozenset(commas)
    return None


def told_to_change(row: list[Item], grammar: Grammar) -> list[Item]:
    """The first reader's row with the words that tell to change as words of a correction.

    Args:
        row: The items of one sentence.
        grammar: For those words.
    """
    said = [(item.text, _KINDS.get(item.kind, OTHER)) for item in row]
    found = change_told(said, grammar)
    if found is None:
        return row
    told = row[found.at]
    kind = "mends" if found.puts else "replace"
    told.kind, told.grade = "glue" if found.puts else kind, None
    told.readings, told.others = (Reading(kind, "frame"),), frozenset({kind, "changing"})
    idle = [*row[found.at + 1 : found.named], *(x for x in row[found.named :] if x.kind == "edge")]
    for item in idle:
        item.kind, item.readings, item.others = "glue", (), frozenset()
    return [item for i, item in enumerate(row) if i not in found.commas]
