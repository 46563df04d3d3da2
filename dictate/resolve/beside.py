"""A sentence without the words that only set it beside another: "the left one is better: ..."."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.beside import how_much, set_against
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading, Sentence

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def without_comparing(
    resolver: Resolver, reading: Reading, sentence: Sentence, follows: bool
) -> Sentence:
    """What the sentence says by itself.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: A sentence of it.
        follows: Another sentence comes after it.

    Returns:
        It as it is; with a heading in place of "the left one is better"; or without an
        afterthought such as "but less so", which leaves open what "the same" was.
    """
    words = reading.norms((sentence.start, sentence.end))
    tail = how_much(resolver.grammar, words)
    if tail is not None and sentence.talk is None:
        return _without_tail(resolver, sentence, sentence.start + tail)
    span = set_against(resolver.grammar, words)
    if span is None:
        return sentence
    start, end = (sentence.start + at for at in span)
    before = [item for item in sentence.row if item.end <= start]
    after = [item for item in sentence.row if item.start >= end]
    named = [item for item in before if item.kind not in {"glue", "comma", "grade"}]
    if not named or not all(_side_or_limb(item) for item in named):
        return sentence
    goes_on = [item for item in after if item.kind not in {"comma", "colon", "stop"}]
    if not (goes_on or follows):
        return sentence
    head = [item for item in before if item.kind != "grade"]  # "the left one"
    row = [*head, Item("colon", start, end, text=":"), *_opened(after)]
    return replace(sentence, row=row, talk=None, statements=resolver.reader.statements(row))


def _opened(after: list[Item]) -> list[Item]:
    """Without the mark that it opens with."""
    return after[1:] if after and after[0].kind in {"comma", "colon"} else after


def _side_or_limb(item: Item) -> bool:
    limb = item.kind == "target" and not item.of_kind("test", "sign")
    return item.kind == "side" or (limb and any(r.group == "limb" for r in item.of_kind("site")))


def _without_tail(resolver: Resolver, sentence: Sentence, cut: int) -> Sentence:
    row = [item for item in sentence.row if item.end <= cut]
    again = any(item.kind == "repeat" for item in row)
    if not again and not any("also" in item.others for item in row):
        return sentence
    statements = resolver.reader.statements(row)
    for st in statements if again else ():
        st.doubts.append((cut, sentence.end))
    return replace(sentence, row=row, statements=statements)
