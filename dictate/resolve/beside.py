"""A sentence without the words that only set it beside another: "the left one is better: ..."."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.beside import how_much, set_against
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading, Sentence

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def without_comparing(
    resolver: Resolver, reading: Reading, sentence: Sentence, at: int
) -> Sentence:
    """What the sentence says by itself.

    Args:
        resolver: The narration so far.
        reading: The utterance.
        sentence: A sentence of it.
        at: Its place among the sentences of the utterance.

    Returns:
        It as it is; with a heading in place of "the left one is better"; or without an
        afterthought such as "but less so", which leaves open what "the same" was.
    """
    before, after = reading.sentences[:at], reading.sentences[at + 1 :]
    words = reading.norms((sentence.start, sentence.end))
    tail = how_much(resolver.grammar, words)
    if tail == 0:
        told = bool(before) and _says_again(before[-1].row)
        return replace(sentence, row=[], statements=[]) if told else sentence
    if tail is not None and sentence.talk is None:
        return _without_tail(resolver, sentence, sentence.start + tail)
    if after and _repeats(sentence.row):
        follows = reading.norms((after[0].start, after[0].end))
        for st in sentence.statements if how_much(resolver.grammar, follows) == 0 else ():
            st.doubts.append((sentence.start, sentence.end))
    return _headed(resolver, sentence, words, bool(after))


def _headed(
    resolver: Resolver, sentence: Sentence, words: Sequence[str], follows: bool
) -> Sentence:
    """With a heading in place of "the left one is better"."""
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


def _repeats(row: Sequence[Item]) -> bool:
    return any(item.kind == "repeat" for item in row)


def _says_again(row: Sequence[Item]) -> bool:
    """The same as what was found before, or something that is not normal ("rigid, but less")."""
    words = [item for item in row if item.kind == "value"]
    ill = bool(words) and not any(r.id == "normal" for item in words for r in item.readings)
    return ill or _repeats(row) or any("also" in item.others for item in row)


def _without_tail(resolver: Resolver, sentence: Sentence, cut: int) -> Sentence:
    row = [item for item in sentence.row if item.end <= cut]
    if not _says_again(row):
        return sentence
    statements = resolver.reader.statements(row)
    for st in statements if _repeats(row) else ():
        st.doubts.append((cut, sentence.end))
    return replace(sentence, row=row, statements=statements)
