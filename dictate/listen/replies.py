"""What the tool says when it is asked something: its sentences, for the voice and the screen."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.grammar.names import listed
from dictate.model import Finding, Question, Record
from dictate.render.document import not_mentioned
from dictate.render.unchecked import write_marked
from dictate.resolve.menu import marks
from dictate.resolve.questions import NONE

#: The most parts that are read out; nobody keeps more in mind.
MOST = 6
#: The most choices that are read out with a question.
CHOICES = 4


def last_finding(record: Record, latest: Finding | None, grammar: Grammar) -> str:
    """The last finding as the note would write it.

    Args:
        record: The record so far.
        latest: The finding that was added last, if it is still in the record.
        grammar: Whose words are used.
    """
    if latest is None or latest not in record.findings:
        latest = record.findings[-1] if record.findings else None
    if latest is None:
        return "Nothing is noted yet."
    return finding_words(latest, grammar)


def finding_words(finding: Finding, grammar: Grammar) -> str:
    """One finding as a sentence of the note."""
    return " ".join(f"{sentence.text}." for sentence in write_marked(grammar, [finding]))


def missing(record: Record, grammar: Grammar) -> str:
    """Which usual parts no finding was recorded for."""
    names = not_mentioned(record, grammar).phrases
    if not names:
        return "A finding or a question is there for every usual part."
    if len(names) <= MOST:
        return f"No finding recorded for: {listed(list(names))}."
    more = f"and {len(names) - MOST} more on the screen"
    return f"No finding recorded for: {', '.join(names[:MOST])}, {more}."


def question_words(question: Question) -> str:
    """A question as it is put: with its choices where it does not name them itself."""
    labels = [choice.label for choice in question.choices]
    offered = [label for label in labels if label != NONE]
    named = all(label.casefold() in question.prompt.casefold() for label in offered)
    if not labels or named or len(labels) > CHOICES:
        return question.prompt
    return f"{question.prompt} {listed(labels, 'or')}?"


def choice_words(question: Question, grammar: Grammar) -> list[str]:
    """What can be said to choose: a value or a side itself, "the second" for any other choice."""
    places = iter(grammar.requests.answers.nth)
    found = []
    for mark, choice in zip(marks(question, grammar), question.choices, strict=True):
        forms = next(places, ()) if mark else ()
        found.append(f"“{forms[0]}” ({choice.label})" if forms else choice.label)
    return found
