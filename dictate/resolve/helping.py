"""What may be answered to a question, as one text: shown where "?" is typed, said where it is
asked aloud."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.grammar.names import listed
from dictate.model import Question
from dictate.resolve.menu import marks
from dictate.resolve.plain_answers import hints

#: Of more choices the others are on the screen; a voice would read for too long.
_ALOUD = 8


def may_be_answered(question: Question, grammar: Grammar, aloud: bool = False) -> str:
    """Sentences that tell what answers a question.

    Args:
        question: Any question.
        grammar: Whose wordings are shown.
        aloud: It is said: no more choices than one can listen to, and no signs.
    """
    labels = [choice.label for choice in question.choices]
    if aloud and len(labels) > _ALOUD:
        labels = [*labels[:_ALOUD], "another of those on the screen"]
    letter = ", or the letter before it" if not aloud and any(marks(question, grammar)) else ""
    first = f"One of these{letter}: {listed(labels, 'or')}." if labels else ""
    quoted = [words if aloud else f"“{words}”" for words in hints(question, grammar)]
    own = "Your own words, as you would dictate them." if not labels else ""
    return " ".join(filter(None, (first, own, f"Or {listed(quoted, 'or')}.")))
