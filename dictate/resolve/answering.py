"""What is an answer to the question that was just put, and in which words the session takes it.

An answer says nothing but what was asked: a side alone, a value alone, the name of a test or a
site alone, yes or no. An utterance that says more ("right deltoid four") is a statement, whatever
was asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.grades import Grade
from dictate.interpret.items import Item
from dictate.interpret.reader import Reader
from dictate.interpret.whole import around, folded, whole_match
from dictate.model import Choice, Question, Utterance
from dictate.resolve.menu import answer_of, marks
from dictate.resolve.plain_answers import OFFERS, not_done_in, parts_in, plain_meaning

#: What an answer to each kind of question consists of.
_MADE_OF = {
    "side": {"side", "grade", "value"},
    "value": {"value", "grade"},
    "scale": {"grade", "value"},
    "conflict": {"value", "grade"},
    "test": {"target", "section"},
    "site": {"target", "side"},
}
#: Items that say nothing ("it is on the left").
_NOTHING = {"glue", "comma", "place", "talk"}


def answer_in(
    utterance: Utterance, question: Question, reader: Reader, grammar: Grammar
) -> str | None:
    """Find the answer to a question in an utterance.

    Args:
        utterance: What was heard right after the question.
        question: The question that was put.
        reader: Reads the utterance.
        grammar: Whose words count.

    Returns:
        Words for ``Session.answer``, or None where the utterance is no answer to it. That the
        session takes them is not certain yet.
    """
    plain = plain_meaning(utterance.text, grammar)
    if plain == "open":
        return "skip"
    if plain == "neither":
        return grammar.requests.answers.neither[0] if question.kind in OFFERS else None
    if not_done_in(utterance.text, reader) or parts_in(utterance.text, question, reader):
        return utterance.text
    choice = _by_place(utterance, question, grammar)
    if choice is not None:
        return choice
    if question.kind == "heard":
        return _yes_or_no(utterance, question, grammar)
    items = _items(utterance.text, reader)
    if not items or any(item.kind not in _MADE_OF.get(question.kind, ()) for item in items):
        return None
    number = _choice(items, question, reader)
    if number is not None:
        return answer_of(question, grammar, number)
    return _own_words(utterance.text, items, question)


def is_curt(utterance: Utterance, question: Question, reader: Reader) -> bool:
    """Whether an utterance is meant for a yes-or-no question and is neither yes nor no."""
    if question.kind != "heard":
        return False
    items = _items(utterance.text, reader)
    return bool(items) and all(item.kind in {"side", "value", "grade"} for item in items)


def _by_place(utterance: Utterance, question: Question, grammar: Grammar) -> str | None:
    """ "The second": the second of the choices that have a mark on the screen."""
    places = {folded(w): str(n) for n, ws in enumerate(grammar.requests.answers.nth) for w in ws}
    found = whole_match(utterance.text, places, around(grammar))
    with_mark = [i for i, mark in enumerate(marks(question, grammar)) if mark]
    if found is None or int(found) >= len(with_mark):
        return None
    return answer_of(question, grammar, with_mark[int(found)])


def _yes_or_no(utterance: Utterance, question: Question, grammar: Grammar) -> str | None:
    answers = grammar.requests.answers
    forms = {folded(form): "yes" for form in answers.yes}
    forms |= {folded(form): "no" for form in answers.no}
    labels = [choice.label for choice in question.choices]
    forms |= {folded(label): label for label in labels if " " not in label}
    word = whole_match(utterance.text, forms, around(grammar))
    return word if word in labels else None


def _items(text: str, reader: Reader) -> list[Item]:
    """What an utterance says, or nothing where it is more than one sentence or corrects itself."""
    sentences = reader.read(Utterance("answer", text)).sentences
    if len(sentences) != 1:
        return []
    return [item for item in sentences[0].row if item.kind not in _NOTHING and item.text != "."]


def _choice(items: list[Item], question: Question, reader: Reader) -> int | None:
    """The one choice that these words name."""
    if question.kind in {"test", "site"}:
        named = [i for i, choice in enumerate(question.choices) if _names(items, question, choice)]
        return named[0] if len(named) == 1 else None
    if any(item.grade and not _is_plain(item.grade) for item in items):
        return None
    tests = {found.test for choice in question.choices for found in choice.findings}
    labels = [_items(choice.label, reader) for choice in question.choices]
    exact = [
        i for i, label in enumerate(labels) if [x.text for x in label] == [x.text for x in items]
    ]
    same = exact or [i for i, label in enumerate(labels) if _mean_the_same(items, label, tests)]
    # a choice without findings leaves another question open: that is for the words to say
    return same[0] if len(same) == 1 and question.choices[same[0]].findings else None


def _mean_the_same(items: Sequence[Item], label: Sequence[Item], tests: set[str]) -> bool:
    """Whatever the words: "for plus" and "4+" are one."""
    return len(items) == len(label) and all(
        one.kind == other.kind
        and (one.text == other.text if one.grade else bool(_ids(one, tests) & _ids(other, tests)))
        for one, other in zip(items, label, strict=True)
    )


def _ids(item: Item, tests: set[str]) -> set[str]:
    """What a word means in the tests that were asked about ("reduced" and "absent" are both
    "impaired" in another)."""
    readings = item.of_kind("side", "value", "grade_word")
    return {r.id for r in readings if not r.test or not tests or r.test in tests}


def _is_plain(grade: Grade) -> bool:
    """A grade and nothing more: no range, no "out of", no unit."""
    return grade.of is None and grade.until is None and grade.unit is None


def _names(items: list[Item], question: Question, choice: Choice) -> bool:
    """Every word of the answer is the name of what the choice would add."""
    tests = {finding.test for finding in choice.findings}
    if question.kind == "test":
        return len(tests) == 1 and all(
            tests & {reading.test for reading in item.of_kind("test", "after_site")}
            for item in items
        )
    sites = {finding.site for finding in choice.findings}
    sides = {finding.side for finding in choice.findings}
    return all(
        sides == {item.of_kind("side")[0].id}
        if item.kind == "side"
        else bool(sites & {reading.id for reading in item.of_kind("site")})
        for item in items
    )


def _own_words(text: str, items: list[Item], question: Question) -> str | None:
    """Words that name no choice and may still fill what is missing, as the session judges."""
    if question.kind == "side":
        alone = len(items) == 1 and items[0].kind == "side"
        return items[0].of_kind("side")[0].id if alone else None
    if question.kind in {"value", "scale"}:
        return text if len(items) == 1 else None
    if question.kind in {"test", "site"} and all(item.kind == "target" for item in items):
        return " ".join(item.text for item in items)
    return None
