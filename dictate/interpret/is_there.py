""" "Reflexes present, two plus": that something is there adds nothing to its grade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.beside import forms
from dictate.interpret.items import Item
from dictate.interpret.tokens import norms

#: The closed class of such words.
WORDS = "is_there"


def is_there(row: list[Item], grammar: Grammar) -> list[Item]:
    """The row, with such words and the comma after them as words that mean nothing.

    Args:
        row: The items of one sentence.
        grammar: For the words.
    """
    kinds = [_kind(item, grammar) for item in row]
    for i in added(kinds):
        row[i] = replace(row[i], kind="glue", readings=(), others=frozenset())
    return row


def added(kinds: Sequence[str]) -> Iterator[int]:
    """Where such words stand, with the comma between them and the grade.

    Args:
        kinds: Of each item: name, there, comma, grade, glue, or "".
    """
    named = False
    for i, kind in enumerate(kinds):
        after = [k for k in kinds[i + 1 : i + 4] if k != "glue"]
        if kind == "there" and named and after[:2] == ["comma", "grade"]:
            yield i
            yield next(j for j in range(i, len(kinds)) if kinds[j] == "comma")
        elif kind == "there" and named and after[:1] == ["grade"]:
            yield i
        named = kind == "name" or (named and kind == "glue")


def _kind(item: Item, grammar: Grammar) -> str:
    if norms(item.text) in forms(grammar, WORDS):
        return "there"
    return {"target": "name", "degree": "glue"}.get(item.kind, item.kind)
