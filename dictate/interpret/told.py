"""What the patient is told names what is looked at: "Stick out your tongue. Midline."

The words of such an instruction (``told`` in an area's file) are read as the name that the file
gives them, with a colon, where nothing but a value follows: after a pause or a full stop, in the
same utterance or as the next one. Praise that is said to the patient ("Good.", "Lovely.") is no
value, and where what follows names something itself, the instruction stays words to the patient.
The bare name of a test that is in one place is read so too: "Gait. Wide based."
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.interpret.beside import Words, forms
from dictate.interpret.lexicon import Lexicon, Term
from dictate.interpret.tokens import Token, norms
from dictate.model import OTHER_SIDE

_STOPS = frozenset({".", ";", "!", "?"})
_MARKS = _STOPS | {",", ":"}
#: What is no part of an instruction.
_STATES = ("value", "test", "sign", "section", "not_tested", "unable")
#: What makes the words after an instruction more than a value.
_NAMES = frozenset({"test", "after_site", "site", "sign", "section", "you", "own", "instruct"})


@dataclass(frozen=True, slots=True)
class Told:
    """The name that the last instruction of an utterance gives to what follows.

    ``start`` and ``end``: where the instruction stands, in characters of its utterance.
    """

    name: Words
    start: int
    end: int


class Instructions:
    """Finds the instructions of one grammar in tokens."""

    def __init__(self, grammar: Grammar, lexicon: Lexicon) -> None:
        """Collect what the areas' files say, by the first word of an instruction."""
        self._grammar = grammar
        self._lexicon = lexicon
        self._names: dict[Words, Words] = {
            norms(form): norms(one.name)
            for area in grammar.areas
            for one in area.told
            for form in one.words
        }
        self._bare = {
            norms(form)
            for test in grammar.tests.values()
            for form in test.spoken
            if test.sites == "-" and form not in test.casual
        }
        self._names.update({form: form for form in self._bare - self._names.keys()})
        self._by_first: dict[str, list[Words]] = {}
        for form in sorted(self._names, key=len, reverse=True):
            self._by_first.setdefault(form[0], []).append(form)
        self._numbers = grammar.numbers.words()
        self._sides = frozenset(w for s in OTHER_SIDE for w in getattr(grammar.sides, s))
        self._idle = forms(grammar, "said_beside_instruction")
        self._idle_longest = max(map(len, self._idle), default=0)

    def read(self, tokens: list[Token], before: Told | None) -> tuple[list[Token], Told | None]:
        """Name what a bare value is said of, where an instruction tells it.

        Args:
            tokens: Those of an utterance.
            before: What the utterance before it ended with.

        Returns:
            The tokens to read, and what this utterance ends with.
        """
        out: list[Token] = []
        done = 0
        last: Told | None = None
        if before is not None:
            begin = self._past_idle(tokens, 0)
            if begin == len(tokens):
                return tokens, before
            if self._only_value(tokens, begin, before.name):
                out.extend(_as_name(before.name, 0, 0))
                done = begin
        for start, end, name in self._found(tokens):
            bare = tuple(token.norm for token in tokens[start:end]) in self._bare
            if bare and not self._alone(tokens, start, end):
                continue
            rest = end if bare else self._past_rest(tokens, end)
            sides = tuple(t.norm for t in tokens[end:rest] if t.norm in self._sides)
            at = self._past_idle(tokens, rest)
            told = (*name, *sides) if len(sides) == 1 else name
            here = Told(told, tokens[start].start, tokens[end - 1].end)
            last = here if at == len(tokens) else None
            if start >= done and at < len(tokens) and self._only_value(tokens, at, name):
                out.extend(tokens[done : self._opening(tokens, done, start)])
                out.extend(_as_name(told, here.start, here.end))
                done = at
            elif start >= done and not bare and self._alone(tokens, start, rest):
                out.extend([*tokens[done:start], self._order(here)])
                done = end
        return [*out, *tokens[done:]], last

    def _found(self, tokens: Sequence[Token]) -> Iterator[tuple[int, int, Words]]:
        """Where an instruction stands, with the name that it gives."""
        words = [token.norm for token in tokens]
        i = 0
        while i < len(words):
            form = next((f for f in self._by_first.get(words[i], ()) if _at(words, i, f)), None)
            named = form is not None and i and (words[i - 1], *form) in self._lexicon.readings
            if form is not None and not named:  # "shoulder shrug" is no "shrug"
                yield i, i + len(form), self._names[form]
            i += len(form) if form is not None else 1

    def _past_idle(self, tokens: Sequence[Token], at: int) -> int:
        """Where praise, "for me" and the like end that stand at a token, with their marks."""
        while at < len(tokens):
            if tokens[at].norm in _MARKS:
                at += 1
                continue
            for n in range(self._idle_longest, 0, -1):
                end = at + n
                closed = end >= len(tokens) or tokens[end].norm in _MARKS
                said = tuple(token.norm for token in tokens[at:end])
                if said in self._idle and (closed or (at and tokens[at - 1].norm not in _MARKS)):
                    at = end
                    break
            else:
                return at
        return at

    def _alone(self, tokens: Sequence[Token], start: int, rest: int) -> bool:
        """Whether the sentence is the instruction and nothing else ("Heel down your shin.")."""
        begins = start == 0 or tokens[start - 1].norm in _MARKS
        return begins and (rest == len(tokens) or tokens[rest].norm in _STOPS)

    def _order(self, here: Told) -> Token:
        """A word that opens instructions, standing where this one stands: it names nothing."""
        word = self._grammar.speech.talk.instruct[0]
        return Token(word, word, here.start, here.end, False, False)

    def _past_rest(self, tokens: Sequence[Token], at: int) -> int:
        """Where the rest of an instruction ends ("at me, please"), if it states nothing."""
        end = next((i for i in range(at, len(tokens)) if tokens[i].norm in _MARKS), len(tokens))
        row = list(tokens[at:end])
        terms = self._lexicon.find(row, False)
        states = any(term.of_kind(*_STATES) for term in terms)
        return at if states or any(self._number(token) for token in row) else end

    def _number(self, token: Token) -> bool:
        return token.norm in self._numbers or token.norm.isdigit()

    def _opening(self, tokens: Sequence[Token], done: int, start: int) -> int:
        """Where the words begin that only lead to the instruction ("now can you")."""
        begin = start
        while begin > done and tokens[begin - 1].norm not in _MARKS:
            begin -= 1
        terms = self._lexicon.find(list(tokens[begin:start]), False)
        says = any(t.of_kind("value", "test", "site", "sign", "section", "side") for t in terms)
        return start if says else begin

    def _only_value(self, tokens: Sequence[Token], at: int, name: Words) -> bool:
        """A value follows, up to the end of the sentence, and nothing else is named."""
        end = next((i for i in range(at, len(tokens)) if tokens[i].norm in _STOPS), len(tokens))
        if end < len(tokens) and tokens[end].norm == "?":
            return False
        row = list(tokens[at:end])
        tests = self._tests(name)
        terms = self._lexicon.find(row, False)
        valued = [term for term in terms if _value_of(term, tests)]
        named = any(term.of_kind(*_NAMES) and term not in valued for term in terms)
        graded = any(map(self._number, row)) and any(self._grammar.tests[t].scale for t in tests)
        return bool(valued or graded) and not named

    def _tests(self, name: Words) -> frozenset[str]:
        """The tests that a name may be of; a side after it says nothing of them."""
        found: set[str] = set()
        name = name[:-1] if name[-1] in self._sides else name
        for reading in self._lexicon.readings.get(name, ()):
            if reading.test:
                found.add(reading.test)
            elif reading.kind == "site":
                takes = self._grammar.takes_site
                found.update(t for t in self._grammar.tests if takes(t, reading.group, reading.id))
        return frozenset(found)


def _at(words: Sequence[str], i: int, form: Words) -> bool:
    return tuple(words[i : i + len(form)]) == form


def _value_of(term: Term, tests: frozenset[str]) -> bool:
    """A value of one of the tests, or one that any test may have."""
    return any(not r.test or r.test in tests for r in term.of_kind("value"))


def _as_name(name: Words, start: int, end: int) -> list[Token]:
    """The words of a name and a colon, standing where the instruction stands."""
    words = [Token(word, word, start, end, False, False) for word in name]
    return [*words, Token(":", ":", end, end, True, False)]
