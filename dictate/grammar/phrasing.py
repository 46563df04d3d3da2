"""The slots that orders of words may name, and the checks of the files for hearing."""

from __future__ import annotations

import re
from collections.abc import Iterable

from dictate.errors import GrammarError
from dictate.grammar.load import Grammar
from dictate.grammar.schema import Words

SLOT = re.compile(r"\{(\w*)\}")
#: Slots whose forms belong to one test.
OF_A_TEST = (
    "test", "tests", "site", "sites", "jerk", "jerks", "value", "sign", "detail",
    "direction", "grade",
)  # fmt: skip
#: The one side and the other; an order with one of them is built for right and left.
SIDED = ("side", "across")
#: Lists of common/speech.yaml whose own names say too little among all slots.
_RENAMED = {"before": "deny", "after": "denied"}


def shared_slots(grammar: Grammar) -> dict[str, Words]:
    """The forms that no test owns, by slot: sides, headings, numbers, the words of statements."""
    speech, sides = grammar.speech, grammar.sides
    found: dict[str, Words] = {
        "side_words": (*sides.right, *sides.left),
        "both": sides.both,
        "trailing": sides.trailing,
        "other": sides.other,
        "both_after_value": sides.both_after_value,
        "heading": _once(form for area in grammar.areas for form in area.heading.spoken),
        "number": _once(word for words in grammar.numbers.numbers.values() for word in words),
    }
    for shape in (speech.negation, speech.not_done, speech.correction, speech.talk, speech):
        for name in type(shape).model_fields:
            forms = getattr(shape, name)
            if isinstance(forms, tuple):
                found[_RENAMED.get(name, name)] = forms
    return found


def words_with_meaning(grammar: Grammar) -> frozenset[str]:
    """Single words that change a finding by themselves: numbers, sides, negations, corrections.

    No spelling may hold one: half of a spelling, heard alone, would change a finding.
    """
    speech, sides, numbers = grammar.speech, grammar.sides, grammar.numbers
    lists = (
        *numbers.numbers.values(), numbers.plus, numbers.minus, numbers.half, numbers.point,
        sides.right, sides.left, sides.both, sides.other, speech.exception,
        speech.negation.before, speech.correction.take_back, speech.correction.replace,
    )  # fmt: skip
    single = {form.lower() for forms in lists for form in forms if form.isalpha()}
    return frozenset(single - {*speech.filler, *speech.hesitation})


def check_phrasing(grammar: Grammar) -> None:
    """Refuse orders with unknown slots, and spellings that hold a word with a meaning.

    Raises:
        GrammarError: With file, line and what is wrong.
    """
    known = {*OF_A_TEST, *SIDED, *shared_slots(grammar)}
    for number, orders in enumerate(grammar.phrasing):
        named = [*(name for say in orders.say for name in SLOT.findall(say)), orders.each]
        for name in named:
            if name not in known or orders.each in SIDED:
                _fail(grammar, "phrasing", ("phrasing", number), f"{name!r} is no slot of orders")
    meant = words_with_meaning(grammar)
    for word, spellings in grammar.heard_as.items():
        for spelling in spellings:
            wrong = [piece for piece in spelling.lower().split() if piece in meant]
            reason = f"a spelling of {word!r} is empty"
            if wrong:
                reason = (
                    f"the spelling {spelling!r} holds {wrong[0]!r}, which means something alone"
                )
            if wrong or not spelling.strip():
                _fail(grammar, "heard_as", ("heard_as", word), reason)


def _fail(grammar: Grammar, name: str, path: tuple[str | int, ...], reason: str) -> None:
    file = f"common/{name}.yaml"
    line = grammar.lines[file].of(path) if file in grammar.lines else 1
    raise GrammarError(f"{file}:{line}: {reason}.")


def _once(forms: Iterable[str]) -> Words:
    return tuple(dict.fromkeys(forms))
