"""Spoken requests: what is said to the tool and not about the patient.

An utterance is a request only when the whole of it is one; with anything beside it, it goes to
the session like every other utterance. So no statement is ever taken for a request.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import jellyfish

from dictate.grammar.load import Grammar
from dictate.interpret.whole import Folded, around, folded, whole_match, without_ends
from dictate.listen.events import Request
from dictate.model import Utterance

#: Requests that mean something only while a question is put.
ABOUT_A_QUESTION = frozenset({"repeat_question", "what_to_say", "skip", "later"})

#: What each request does, for the help.
MEANINGS = {
    "hear_last": "say the last finding again",
    "what_is_missing": "say which usual parts were not mentioned",
    "pause": "stop listening",
    "go_on": "listen again",
    "finish": "end the examination and write the note",
    "open": "listen from here on (with --when phrase)",
    "close": "listen up to here (with --when phrase)",
    "repeat_question": "put the question again",
    "what_to_say": "say what may be answered",
    "skip": "leave the question unanswered",
    "later": "put the question again later",
}
#: From so many words on, a request is known by its sound as well.
_ENOUGH_WORDS = 3


def request_of(utterance: Utterance, grammar: Grammar, question_put: bool = True) -> Request | None:
    """Tell whether an utterance is a request.

    Args:
        utterance: What was heard.
        grammar: Whose wordings count.
        question_put: A question has been put and may be answered; without one, no utterance is
            a request about a question.

    Returns:
        The request, or None where the utterance is anything else.
    """
    kind = whole_match(utterance.text, _wordings(grammar), around(grammar))
    if kind is None:
        kind = _by_sound(utterance.text, grammar)
    if kind is None or (kind in ABOUT_A_QUESTION and not question_put):
        return None
    return Request(kind, utterance)


def shown_wording(grammar: Grammar, kind: str) -> str:
    """The wording of a request that the help shows."""
    return str(getattr(grammar.requests.requests, kind)[0])


def request_phrases(grammar: Grammar) -> tuple[str, ...]:
    """Every wording of every request, for a recogniser that is taught phrases."""
    return tuple(dict.fromkeys(form.casefold() for _, form in _forms(grammar)))


def _by_sound(text: str, grammar: Grammar) -> str | None:
    """ "Put the pin down": of three words and more, those that sound the same are the same."""
    sounds = _sounds(grammar)
    for words in without_ends(folded(text), around(grammar)):
        if len(words) >= _ENOUGH_WORDS and (kind := sounds.get(_sound(words, grammar))):
            return kind
    return None


def _sound(words: Folded, grammar: Grammar) -> Folded:
    """Sounds of the words that count: "finish a note" and "finish the note" are one."""
    empty = around(grammar)
    return tuple(jellyfish.metaphone(word) for word in words if (word,) not in empty)


@lru_cache(maxsize=4)
def _sounds(grammar: Grammar) -> dict[Folded, str]:
    """Kinds by the sound of their wordings; what would sound like two kinds is none."""
    found: dict[Folded, str] = {}
    for words, kind in _wordings(grammar).items():
        if len(words) >= _ENOUGH_WORDS:
            key = _sound(words, grammar)
            found[key] = kind if found.get(key, kind) == kind else ""
    return found


@lru_cache(maxsize=4)
def _wordings(grammar: Grammar) -> dict[Folded, str]:
    return {folded(form): kind for kind, form in _forms(grammar)}


def _forms(grammar: Grammar) -> Iterator[tuple[str, str]]:
    for kind in type(grammar.requests.requests).model_fields:
        for form in getattr(grammar.requests.requests, kind):
            yield kind, form
