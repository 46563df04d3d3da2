""" "Drift: right no, left yes", "heel walk no on the left, yes on the right": yes and no as values.

Of a sign they say that it is there, or is not; of something that is done, that it was done well or
was not. Both readers tell their items in letters and put the values in.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: A sign, a feat, the name of a place, an answer, a side, what only joins, a word of place, a
#: colon, a comma or "and", where the sentence ends, what corrects or is not known; and all else.
SIGN, FEAT, SITE, ANSWER, SIDE, IDLE, PLACE, COLON, LISTS, STOP, TURN, OTHER = "NFLASIPC,.Rx"
#: After a name and its place or colon: each side or place with its answer, before it or after it;
#: then nothing more, or another name.
_ONE = "(?:S?I*L?C?I*A|A[IP]*S?I*L?)"
_NAMED = re.compile(f"([NF])I*(?:P?I*L)?[C,]?((?:[I,]*{_ONE})+)(?=I*(?:$|[.]|,+I*(?:$|[.SNFLx])))")


def answered(letters: str) -> Iterator[tuple[bool, list[int]]]:
    """For each name: whether it is something that is done, and where its answers stand.

    Args:
        letters: One for each item of a sentence.
    """
    for found in _NAMED.finditer(letters):
        at = [k for k in range(*found.span(2)) if letters[k] == ANSWER]
        if at:
            yield found[1] == FEAT, at


def meaning(word: str, feat: bool, grammar: Grammar) -> tuple[Reading, ...]:
    """What a yes or a no says.

    Args:
        word: The answer, folded.
        feat: It is of something that is done.
        grammar: For the words that say yes.
    """
    yes = word in {form.lower() for form in grammar.speech.there}
    values = ("normal", "impaired") if feat else ("present", "absent")
    return (Reading("value", values[0] if yes else values[1]),)


def letter_of_name(readings: Sequence[Reading], grammar: Grammar) -> str:
    """The letter of a name.

    Args:
        readings: What it may mean.
        grammar: For what is done.
    """
    tests = {r.test for r in readings if r.kind in {"test", "sign"}}
    own = tests or {r.test for r in readings if r.kind == "site"}  # "place" is of one test only
    if own and "" not in own and all(grammar.tests[test].feat for test in own):
        return FEAT
    if any(r.kind == "sign" or (r.kind == "test" and r.id) for r in readings):
        return SIGN
    return SITE if not tests else OTHER


@lru_cache(maxsize=4)
def answers_of(grammar: Grammar) -> frozenset[str]:
    """The words that say yes or no, folded."""
    speech = grammar.speech
    return frozenset(word.lower() for word in (*speech.there, *speech.not_there))


def with_answers(row: list[Item], grammar: Grammar) -> list[Item]:
    """The first reader's row with a value for each such answer.

    Args:
        row: The items of one sentence.
        grammar: For the words, and for the names.
    """
    words = answers_of(grammar)
    if not any(item.text in words for item in row):
        return row
    letters = "".join(_letter(item, words, grammar) for item in row)
    for feat, places in answered(letters):
        for k in places:
            meant = meaning(row[k].text, feat, grammar)
            row[k] = replace(row[k], kind="value", readings=meant, others=frozenset({"value"}))
    return row


_LETTERS = {
    "side": SIDE, "glue": IDLE, "degree": IDLE, "place": PLACE, "colon": COLON, "comma": LISTS,
    "and": LISTS, "but": LISTS, "stop": STOP, "replace": TURN,
    "take_back": TURN, "swap": TURN, "unknown": TURN,
}  # fmt: skip


def _letter(item: Item, words: Collection[str], grammar: Grammar) -> str:
    if item.text in words:
        return ANSWER
    if item.kind == "target":
        return letter_of_name(item.readings, grammar)
    return _LETTERS.get(item.kind, OTHER)
