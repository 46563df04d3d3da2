"""A clause of its own that names nothing of an examination, after one that states something.

"Left triceps four, and that worries me": what was stated stands, and what is said about it is kept
as it was spoken. A clause with a name, a value, a side or a denial is no comment, and neither is
one that tells of another time or person, doubts, excepts or corrects.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading, lay_names
from dictate.interpret.tokens import norms

#: Kinds of items that a comment may consist of.
_IDLE = frozenset({"unknown", "glue", "degree", "talk", "place", "and", "also"})
#: Senses that its words must not have as well, in either reader: it tells of elsewhere, or asks.
TURNS = frozenset(
    {"elsewhere", "reported", "account", "request", "ask", "edge", "rest", "circumstance"}
)
#: Senses of words that speak to somebody.
TALK = frozenset({"you", "own", "instruct"})
#: So many words at least: fewer may be one more thing of a list.
LEAST = 3


@lru_cache(maxsize=8)
def first_words(grammar: Grammar, name: str) -> frozenset[str]:
    """The first words of the forms of a closed class.

    Args:
        grammar: Its closed classes.
        name: That of the class.
    """
    return frozenset(norms(form)[0] for form in grammar.closed.classes.get(name, ()))


class Comments:
    """Tells by one grammar which clauses are comments."""

    def __init__(self, grammar: Grammar) -> None:
        """Take the words that open a clause, and those that are its subject."""
        self._opens = first_words(grammar, "opens_comment")
        self._subjects = first_words(grammar, "subject_word")
        self._lay = lay_names(grammar)

    def without(self, row: list[Item]) -> list[Item]:
        """The row of a sentence, with the words of its comments as words that mean nothing.

        Args:
            row: The items as the lexicon gave them.
        """
        if not row or row[-1].text == "?":
            return row
        cuts = [i for i in range(1, len(row)) if self._opens_at(row, i)]
        before = 0  # where the last clause begins that is none
        for a, b in pairwise([*cuts, len(row)]):
            last = b - 1 if row[b - 1].kind == "stop" else b
            said = states(row[:a], self._lay) and _is_whole(row[before:a])
            if said and self._is_comment(row[a:last]):
                row[a + 1 : last] = [_emptied(item) for item in row[a + 1 : last]]
            else:
                before = a
        return row

    def _opens_at(self, row: Sequence[Item], i: int) -> bool:
        """A clause begins: after a comma, or with a joining word and a subject after it."""
        if row[i].kind == "comma":
            return row[i].end > row[i].start
        joins = row[i].kind in {"and", "but"} or row[i].text in self._opens
        after = row[i + 1].text.split(" ")[0] if i + 1 < len(row) else ""
        return joins and row[i - 1].kind != "comma" and after in self._subjects

    def _is_comment(self, clause: Sequence[Item]) -> bool:
        said = [item for item in clause[1:] if item.end > item.start]
        while said and (said[0].kind in {"and", "but"} or said[0].text in self._opens):
            said = said[1:]
        if sum(item.end - item.start for item in said) < LEAST or said[0].kind == "place":
            return False
        if any(item.kind not in _IDLE or item.others & TURNS for item in said):
            return False
        return any(item.kind in {"unknown", "talk"} or item.others & TALK for item in said)


def states(row: Sequence[Item], lay: Collection[tuple[str, ...]]) -> bool:
    """A name in a word of the trade with its value, and nobody is spoken to.

    Args:
        row: The items of a sentence up to a clause.
        lay: Names that anybody uses, folded.
    """
    if any(item.others & TALK or item.others & TURNS for item in row):
        return False
    named = any(item.kind == "target" and norms(item.text) not in lay for item in row)
    return named and _is_whole(row)


def _is_whole(row: Sequence[Item]) -> bool:
    """Something was found there: "normal on the right" is whole, "and the left" is not."""
    said = any(item.kind in {"value", "grade", "deny"} for item in row)
    return said or any(r.id or r.kind == "sign" for r in _names(row))


def _names(row: Sequence[Item]) -> list[Reading]:
    """What tests and signs are named; one with an id says by its bare name what was found."""
    return [r for item in row for r in item.of_kind("test", "sign")]


def _emptied(item: Item) -> Item:
    if item.kind in {"comma", "and", "but"}:
        return item
    return replace(item, kind="glue", readings=(), grade=None, others=frozenset())
