"""Which of the ways to hear an utterance is meant: the one that is a statement.

The engine weighs two words at a time and does not know what a statement is: "down increased in
the arm" is as good to it as "tone increased in the arm". Where the first reading leaves something
open, another one that leaves nothing open is taken, if it is nearly as likely, if the words that
it puts aside were heard unsurely and turn nothing round, and if no other such reading says
something else. The open listener has to confirm its words like those of the first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.model import QuestionKind, Reading, Utterance, UtteranceKind, Word
from dictate.recognise.judge import SAME
from dictate.recognise.sounds import alike
from dictate.recognise.weighty import weighty_words
from dictate.resolve.fork import fork
from dictate.resolve.resolver import Resolver
from dictate.resolve.strange import Key, found_in

#: A word that was heard with this confidence or more (0 to 1) is not put aside.
SURE = 0.98
#: The part of the likelihood of all readings that say something which must be of one mind.
SHARE = 0.9
#: What is put in place of other words must be so much like them.
LIKE = 0.4
#: What is asked about a statement that is whole by itself: examiners leave it out, or it does not
#: go with what was said before.
LEFT_OUT = {"side", "conflict", "referent"}


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a reading would do to the record.

    ``kind``: of the utterance. ``asked``: kinds of the new questions. ``found``: new findings.
    ``open``: how many of its words nothing explains.
    """

    kind: UtteranceKind
    asked: tuple[QuestionKind, ...]
    found: frozenset[Key]
    open: int

    @property
    def whole(self) -> bool:
        """Whether it is a statement that lacks nothing, but for what examiners often leave out."""
        return bool(self.found or self.asked) and not set(self.asked) - LEFT_OUT


def settled(resolver: Resolver, utterance: Utterance) -> Utterance:
    """The utterance as it is to be read; without other readings.

    Args:
        resolver: The narration so far.
        utterance: With the readings that are left to choose from.
    """
    plain = replace(utterance, readings=())
    if not utterance.readings or len(utterance.hearings) < 2:
        return plain
    first = outcome_of(resolver, plain)
    if first.whole and (first.asked or not first.open):
        return plain
    if first.kind not in ("remark", "finding"):
        return plain
    rated = [
        (reading, outcome_of(resolver, _as_read(plain, reading))) for reading in utterance.readings
    ]
    good = [
        (reading, outcome)
        for reading, outcome in rated
        if _better(outcome, first) and _may_take(resolver, plain, reading)
    ]
    for reading, outcome in sorted(good, key=lambda one: (len(one[1].asked), one[1].open)):
        if _share(outcome, rated) >= SHARE:
            return _as_read(plain, reading)
    return plain


def _share(outcome: Outcome, rated: Sequence[tuple[Reading, Outcome]]) -> float:
    """The part that a reading has of the likelihood of all that say something and are as whole."""
    same = whole = 0.0
    for reading, other in rated:
        weight = math.exp(-reading.behind)
        if other.found == outcome.found:
            same += weight
        if other.found == outcome.found or (other.whole and other.open <= outcome.open):
            whole += weight
    return same / whole


def _better(outcome: Outcome, first: Outcome) -> bool:
    """Tell whether a reading leaves less open than the first, and loses nothing that it has."""
    if not outcome.found or outcome.open > first.open or len(outcome.asked) > len(first.asked):
        return False
    if len(outcome.asked) == len(first.asked) and outcome.open == first.open:
        return False
    return outcome.found >= first.found


def _as_read(utterance: Utterance, reading: Reading) -> Utterance:
    return replace(utterance, text=reading.text, words=reading.words, disputed=reading.disputed)


def outcome_of(resolver: Resolver, utterance: Utterance) -> Outcome:
    """What an utterance would do to the record, its words taken as they stand.

    Args:
        resolver: The narration so far; it is not changed.
        utterance: What of it is disputed is not looked at.
    """
    twin = fork(resolver)
    old = found_in(twin.entries)
    before = {one.question.id for one in twin.pending}
    kind = twin.hear(replace(utterance, hearings=(), disputed=()))
    entries = found_in(twin.entries)
    new = frozenset(entries.keys() - old.keys())
    opened = [one.question for one in twin.pending if one.question.id not in before]
    said = (*(e.said for e in entries.values()), *(question.about for question in opened))
    places = [place for spots in said for place in spots if place.utterance == utterance.id]
    idle = weighty_words(resolver.grammar).idle
    left = [
        word
        for word in utterance.words
        if word.text.lower() not in idle
        and not any(p.start < word.end and word.start < p.end for p in places)
    ]
    return Outcome(kind, tuple(question.kind for question in opened), new, len(left))


def _may_take(resolver: Resolver, utterance: Utterance, reading: Reading) -> bool:
    """Tell whether the words that a reading puts aside may be put aside for those it has."""
    weighty = weighty_words(resolver.grammar)
    prefixes = resolver.grammar.misheard.opposites
    before, after = utterance.text.lower(), reading.text.lower()
    if any(after.count(form) < before.count(form) for form in _turns(resolver.grammar)):
        return False
    for gone, come in _changes(utterance.words, reading.words):
        out, put = [word.text.lower() for word in gone], [word.text.lower() for word in come]
        if any((word.confidence or 0.0) >= SURE for word in gone):
            return False
        bridges = [weighty.bridges & set(words) for words in (out, put)]
        if bridges[0] != bridges[1] and not weighty.critical & set(put):
            return False
        if not (weighty.trade & {*out, *put}):
            continue  # words that join, one for the other
        if _opposed(out, put, prefixes) or _opposed(put, out, prefixes):
            return False
        if _of_one_kind(out, put) or any(word.text[1:] != word.text[1:].lower() for word in come):
            return False
        meant = weighty.critical & set(out) or weighty.idle >= set(out)
        if alike(" ".join(out), " ".join(put)) < (SAME if meant else LIKE):
            return False
    return True


@lru_cache(maxsize=4)
def _turns(grammar: Grammar) -> tuple[str, ...]:
    """Forms of several words that turn a statement round, take it back or doubt it; and single
    words that doubt."""
    speech = grammar.speech
    forms = [
        *speech.negation.before, *speech.negation.after, *speech.negation.pseudo,
        *speech.not_done.not_tested, *speech.not_done.unable, *speech.exception, *speech.contrast,
        *speech.correction.replace, *speech.correction.take_back, *speech.compare,
    ]  # fmt: skip
    return tuple(
        {form.lower() for form in forms if " " in form} | set(map(str.lower, speech.doubt))
    )


def _changes(words: Sequence[Word], others: Sequence[Word]) -> Iterator[tuple[Sequence[Word], ...]]:
    """Stretches of words, and what stands in their place in the other ones."""
    mine, theirs = ([word.text for word in row] for row in (words, others))
    for what, a, b, c, d in SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes():
        if what != "equal":
            yield words[a:b], others[c:d]


def _of_one_kind(words: Sequence[str], others: Sequence[str]) -> bool:
    """Tell whether they differ by a plural, which no listener hears surely."""
    pairs = zip(words, others, strict=False)
    return any(word != other and word.rstrip("s") == other.rstrip("s") for word, other in pairs)


def _opposed(words: Iterable[str], others: Iterable[str], prefixes: Iterable[str]) -> bool:
    """Tell whether one of the words is one of the others, turned round."""
    return any(prefix + word in others for word in words for prefix in prefixes)
