"""Places in a heard utterance where its words sound like others that mean something else.

Both listeners hear "and equal" for "unequal", or "to" for "two", and then they agree. Where the
joining word has no work to do, the other reading is weighed like any that a listener disputes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dictate.interpret.items import Item
from dictate.interpret.reader import Reader, Reading
from dictate.model import Disputed

#: Who hears the other reading: nobody did, it only sounds alike.
LISTENER = "open"
#: Kinds of items after which "or" goes on with what is denied or doubted.
_DENIES = {"deny", "denied", "not_tested", "unable", "pseudo", "doubt", "except", "rest"}


def sound_alikes(reader: Reader, reading: Reading) -> Iterator[Disputed]:
    """Stretches that may be other words, with those.

    Args:
        reader: Knows the forms, and by its grammar what sounds alike.
        reading: What was read of the utterance.
    """
    numbers = reader.grammar.misheard.numbers()
    for sentence in reading.sentences:
        for before, join, after in zip(
            sentence.row, sentence.row[1:], sentence.row[2:], strict=False
        ):
            word = _opposite(reader, before, join, after)
            if word:
                start, end = reading.chars((join.start, after.end))
                yield Disputed(start, end, word, LISTENER, "other")
        for item, follows in zip(sentence.row, sentence.row[1:], strict=False):
            words = reader.grammar.misheard.heard_for.get(item.text, "")
            if words and follows.kind in {"side", "target", "place"}:
                start, end = reading.chars((item.start, item.end))
                yield Disputed(start, end, words, LISTENER, "other")
        for item in _idle_alternatives(reader, sentence.row):
            start, end = reading.chars((item.start, item.end))
            yield Disputed(start, end, "", LISTENER)
        if _announced(reader, sentence.row):
            start, end = reading.chars((sentence.row[-1].start, sentence.row[-1].end))
            yield Disputed(start, end, "", LISTENER)
        for name, said, then in zip(
            sentence.row, sentence.row[1:], (*sentence.row[2:], None), strict=False
        ):
            start, end = reading.chars((said.start, said.start + 1))
            number = numbers.get(reading.utterance.text[start:end].lower(), "")
            if number and name.kind == "target" and _may_be_a_grade(said, then):
                yield Disputed(start, end, number, LISTENER, "other")


def _idle_alternatives(reader: Reader, row: Sequence[Item]) -> Iterator[Item]:
    """The "or" of "oriented to place or time": denied, it would be said so, and "not" is short."""
    heard_for = reader.grammar.misheard.heard_for
    for i, item in enumerate(row):
        if item.kind in _DENIES or item.kind in {"stop", "but"}:
            return
        between = 0 < i < len(row) - 1 and row[i - 1].kind == row[i + 1].kind == "target"
        for_it = reader.lexicon.readings.get((heard_for.get(item.text, ""),), ())
        sounds = any(reading.kind == "either" for reading in for_it)
        if between and ("either" in item.others or (sounds and _sites(row[i - 1], row[i + 1]))):
            yield item


def _sites(*items: Item) -> bool:
    """Nothing but places."""
    return all(item.of_kind("site") and not item.of_kind("test", "sign") for item in items)


def _announced(reader: Reader, row: Sequence[Item]) -> bool:
    """ "Reflexes no": the name of a group of tests, and perhaps "now", which announces them."""
    if len(row) != 2 or row[1].text not in reader.grammar.misheard.sounds_like_now:
        return False
    tests = reader.grammar.tests
    return any(tests[reading.test].heading for reading in row[0].of_kind("test"))


def _may_be_a_grade(item: Item, follows: Item | None) -> bool:
    """ "Wrist extensors to, finger extensors one": a word like a number, with no place after it."""
    if item.kind == "edge_site":  # "knee to ankle two"
        return follows is not None and follows.kind == "grade"
    after = follows.kind if follows is not None else ""
    return item.kind in {"edge", "place"} and after in {"", "comma", "target", "place"}


def _opposite(reader: Reader, before: Item, join: Item, after: Item) -> str:
    """ "Pupils and equal": a name, a word that joins nothing, a value; the value turned round."""
    if before.kind != "target" or after.kind not in {"value", "target"} or " " in after.text:
        return ""
    for prefix, heard in reader.grammar.misheard.opposites.items():
        word = prefix + after.text
        known = reader.lexicon.readings.get((word,), ())
        if join.text in heard and any(reading.kind == "value" for reading in known):
            return word
    return ""
