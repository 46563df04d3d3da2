"""The grammar's words as overlapping readings over tokens.

One spoken form may mean several things (biceps: a muscle, a reflex); all readings are kept and
sorted out by what stands beside them. Nothing is ranked here and nothing is thrown away except a
shorter term inside a longer one.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.grammar.schema import Site, Test
from dictate.interpret.frames import Frames
from dictate.interpret.phrases import Key, Phrases
from dictate.interpret.tokens import Token, norms
from dictate.interpret.totals import UNTESTED, Totals

#: Letters that an abbreviation has at least, to be known where no capitals are written.
SHORTEST_IN_SMALL = 2


@dataclass(frozen=True, slots=True)
class Reading:
    """One meaning of a spoken form.

    A test's ``id`` is the value that its bare name says ("clonus": present), if it says one.
    ``kind`` is test, after_site, site, sign, value, side, or the name of a list of
    common/speech.yaml. ``test`` and ``group`` say where a site or value belongs; ``id`` is the
    site, value, side or list entry. ``plural``: the form means both sides. ``kept``: the name that
    the note keeps. ``casual``: an ordinary word for a test. ``sites``: several sites at once
    ("times three"). Of a sign, ``response``: its form speaks of a response, which needs its side;
    ``normal``: nothing is wrong ("EOMI").
    """

    kind: str
    id: str = ""
    test: str = ""
    group: str = ""
    plural: bool = False
    side: str = ""
    kept: str = ""
    casual: bool = False
    response: bool = False
    normal: bool = False
    sites: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Term:
    """A stretch of tokens with all that it may mean; ``joined``: a joining word is inside it."""

    start: int
    end: int
    form: str
    readings: tuple[Reading, ...]
    repaired: str = ""
    joined: bool = False

    def of_kind(self, *kinds: str) -> tuple[Reading, ...]:
        """The readings of some kinds."""
        return tuple(reading for reading in self.readings if reading.kind in kinds)


def all_normal(signs: Sequence[Reading]) -> bool:
    """A form says a value by itself, and in every sense a normal one ("EOMI", "pupils normal").

    Args:
        signs: Its senses as a sign; none of them is no value.
    """
    return bool(signs) and all(sign.normal for sign in signs)


class Lexicon:
    """Every spoken form of a grammar, ready to be found in tokens."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the forms."""
        self.readings: dict[Key, list[Reading]] = {}
        #: Readings that count only where the form stands in capitals ("HE", not "he").
        self.capitals: dict[Key, list[Reading]] = {}
        self._only_capitals = frozenset(grammar.speech.only_capitals)
        #: Abbreviations that count only as they are written ("mRS", not "Mrs").
        self._written = {form for form in self._only_capitals if not form.isupper()}
        self._words_in_small = {norms(form) for form in self._only_capitals}
        self._side_words = {
            form.lower()
            for side in ("right", "left", "both")
            for form in getattr(grammar.sides, side)
        }
        self._numbers = grammar.numbers.words()
        sides = _Sides(grammar)
        for form, reading in _forms(grammar):
            self._add(form, reading)
            for sided, of_side in sides.inside(form, reading):
                self._store(sided, of_side, self.readings)
        for form in grammar.harmless.phrases:
            if norms(form) not in self.readings:
                self._add(form, Reading("glue", form))
        self._shortened = {
            norms(form) for form in grammar.speech.filler if "'s " in form.replace("’", "'")
        }
        self._frames = Frames(grammar)
        self._totals = Totals(grammar)
        self._joins = {norms(word) for word in grammar.speech.join}
        self._phrases = Phrases()
        self._phrases.add(self.readings)

    def another(self) -> Lexicon:
        """A lexicon of the same forms, to add more to: what is added to it is not in this one."""
        new = copy(self)
        new.readings = {key: [*readings] for key, readings in self.readings.items()}
        return new

    def add(self, form: str, reading: Reading) -> None:
        """Let a form have one more reading.

        Args:
            form: As it is spoken.
            reading: What it means too.
        """
        key = norms(form)
        self.readings.setdefault(key, []).append(reading)
        self._phrases.add([key])

    def _add(self, form: str, reading: Reading) -> None:
        key = norms(form)
        if not key:
            return
        letters = form.replace("&", "").replace("/", "")
        short = letters.isalpha() and letters.isupper() and len(form) <= 3
        short = (short or form in self._only_capitals) and reading.kind not in {"glue", "filler"}
        self._store(key, reading, self.capitals if short else self.readings)
        self.readings.setdefault(key, [])

    @staticmethod
    def _store(key: Key, reading: Reading, held: dict[Key, list[Reading]]) -> None:
        known = held.setdefault(key, [])
        if reading not in known:
            known.append(reading)

    def cut(self, tokens: Sequence[Token], term: Term, taken: Collection[int]) -> Term | None:
        """What is left of a term whose end is a grade ("on the right one plus": right).

        Args:
            tokens: Those of the utterance.
            term: One that a grade overlaps.
            taken: The tokens of grades.
        """
        end = next(i for i in range(term.start, term.end) if i in taken)
        for start in range(term.start, end):
            form = tuple(token.norm for token in tokens[start:end])
            if readings := self.readings.get(form):
                return Term(start, end, " ".join(form), tuple(readings))
        return None

    def find(self, tokens: list[Token], shouted: bool) -> list[Term]:
        """All terms, longest first where they overlap, in order.

        Args:
            tokens: The utterance.
            shouted: The whole utterance is in capitals, so capitals say nothing.
        """
        if not tokens:
            return []
        matches = self._phrases.find([token.norm for token in tokens])
        put_together: dict[tuple[int, int], list[Reading]] = {}
        for frame in self._frames.find(token.norm for token in tokens):
            framed = put_together.setdefault((frame.start, frame.end), [])
            framed.extend(_framed(frame.kind))
        spans = {(start, end) for start, end, _ in matches}
        matches.extend(
            (start, end, tuple(token.norm for token in tokens[start:end]))
            for start, end in put_together.keys() - spans
        )
        matches.sort(key=lambda match: (match[0] - match[1], match[0]))
        taken = [False] * len(tokens)
        coded = any(token.norm == "_" for token in tokens)
        spoken = not any(token.text != token.norm for token in tokens)
        terms: list[Term] = []
        for start, end, key in matches:
            readings = (*self.readings.get(key, ()), *put_together.get((start, end), ()))
            written = " ".join(token.text for token in tokens[start:end]) in self._written
            if key in self.capitals and (written or (_capitals(tokens[start:end]) and not shouted)):
                readings = tuple(self.capitals[key])
            elif spoken and not readings and self._in_small(tokens, start, end, key):
                readings = tuple(self.capitals.get(key, ()))
            if coded and _in_name(tokens, start, end):
                continue
            if any(taken[start:end]) or not readings or _apart(tokens[start:end]):
                continue
            if key in self._shortened and _apart_by_one(tokens[start:end]):
                continue  # "that right ankle" is not "that's right"
            taken[start:end] = [True] * (end - start)
            joined = any((word,) in self._joins for word in key)
            terms.append(Term(start, end, " ".join(key), readings, joined=joined))
        terms.sort(key=lambda term: term.start)
        return self._with_parts(tokens, self._denied_values(terms))

    def _denied_values(self, terms: list[Term]) -> list[Term]:
        """ "No hearing down": the "no" of a sign's own form, before a value, denies the value."""
        out: list[Term] = []
        for term, after in itertools.zip_longest(terms, terms[1:]):
            first, _, rest = term.form.partition(" ")
            names = self.readings.get(tuple(rest.split(" ")), ()) if after is not None else ()
            tests = {r.test for r in term.of_kind("sign")} & {r.test for r in names}
            denies = tests and any(r.kind == "deny" for r in self.readings.get((first,), ()))
            if denies and after.start == term.end and _worth(after, tests):
                at = term.start + 1
                out.append(Term(term.start, at, first, tuple(self.readings[first,])))
                out.append(Term(at, term.end, rest, tuple(names)))
            else:
                out.append(term)
        return out

    def _with_parts(self, tokens: Sequence[Token], terms: list[Term]) -> list[Term]:
        """After the name of a total, the words of its parts are its parts and nothing else."""
        names = [(t.end, {r.test for r in t.of_kind("test")}) for t in terms if t.of_kind("test")]
        parts = self._totals.find(tokens, names)
        if not parts:
            return terms
        kept = [t for t in terms if not any(t.start < p.end and p.start < t.end for p in parts)]
        for p in parts:
            form = " ".join(token.norm for token in tokens[p.start : p.end])
            reading = Reading("part", p.label, p.test)
            if p.untested:
                reading = Reading("detail", f"{p.label}{UNTESTED}".strip(), p.test)
            kept.append(Term(p.start, p.end, form, (reading,)))
        return sorted(kept, key=lambda term: term.start)

    def _in_small(
        self, tokens: Sequence[Token], start: int, end: int, key: tuple[str, ...]
    ) -> bool:
        """ "Gcs fifteen", "fdi five": a recogniser writes no capitals.

        What is an ordinary word too ("ta", "ram") needs a number right after it.
        """
        if len("".join(key)) < SHORTEST_IN_SMALL:
            return False
        if key not in self._words_in_small:
            return True
        after = end + (end < len(tokens) and tokens[end].norm in self._side_words)
        number = after < len(tokens) and tokens[after].norm
        return bool(number) and (number in self._numbers or str(number).isdigit())


def _worth(term: Term, tests: Collection[str]) -> bool:
    """A value of one of the tests, or of any test, that says more than present or absent."""
    kept = [r for r in term.of_kind("value") if r.test in tests or not r.test]
    return bool(kept) and not any(r.id in {"present", "absent"} for r in kept)


#: What the patterns of closed classes are read as, where their own name is no kind of a reading.
_FRAMED = {
    "sought": ("deny", "sought"),
    "sought_after": ("denied", "sought"),
    "seek": ("doubt", "seek"),
    "unmoved": ("deny", "unmoved", "verbal"),
    "verbal": ("deny", "verbal"),
    "wrong": ("replace", "wrong"),
    "misnamed": ("replace", "misnamed"),
    "misnamed_all": ("whole_run", "misnamed"),
}


def _framed(kind: str) -> Iterator[Reading]:
    """What a pattern is read as; "value normal" is a value of that set."""
    name, _, words = kind.partition(" ")
    if words:
        yield Reading(name, words)
        return
    for found in _FRAMED.get(kind, (kind,)):
        yield Reading(found, "frame")


def _apart_by_one(tokens: Sequence[Token]) -> bool:
    """Nothing but a space between the words: no "'s" stood there."""
    return all(b.start - a.end == 1 for a, b in itertools.pairwise(tokens))


def lay_names(grammar: Grammar) -> frozenset[tuple[str, ...]]:
    """The names of tests and sites that lay people use as well, folded."""
    return frozenset(norms(form) for form in grammar.speech.talk.lay)


def _apart(tokens: list[Token]) -> bool:
    """ "L 4" typed with a space is a side and a grade, not the root L4."""
    letter = len(tokens) == 2 and len(tokens[0].text) == 1 and tokens[0].text.isupper()
    return letter and tokens[1].text.isdigit() and not tokens[1].glued


def _capitals(tokens: list[Token]) -> bool:
    """Every letter stands in capitals."""
    return all(token.text.isupper() or not token.text.isalpha() for token in tokens)


def _in_name(tokens: list[Token], start: int, end: int) -> bool:
    """ "RAM_SIZE": part of the name of a thing, as machines write it."""
    near = [*tokens[max(0, start - 1) : start], *tokens[end : end + 1]]
    return any(token.norm == "_" for token in near)


def _forms(grammar: Grammar) -> Iterator[tuple[str, Reading]]:
    yield from _side_forms(grammar)
    for name, group in grammar.groups.items():
        for site, spec in group.sites.items():
            yield from _site_forms(site, spec, group=name)
    for area in grammar.areas:
        for form in area.heading.spoken:
            yield form, Reading("section", area.area)
        for name, test in area.tests.items():
            yield from _test_forms(grammar, name, test)
    for words, forms in grammar.sets.items():
        for form in forms:
            yield form, Reading("value", words)
    yield from _speech_forms(grammar)
    yield from _misheard_forms(grammar)


def _side_forms(grammar: Grammar) -> Iterator[tuple[str, Reading]]:
    for form in grammar.sides.trailing:
        yield form, Reading("trails", "both")
    for side in ("right", "left", "both", "other", "both_after_value"):
        for form in getattr(grammar.sides, side):
            kind = "both_after" if side == "both_after_value" else "side"
            yield form, Reading(kind, side)


class _Sides:
    """ "Dorsum of the foot" as "dorsum of the left foot": a side inside a name; "the two legs"."""

    def __init__(self, grammar: Grammar) -> None:
        self._pair = [norms(pair) for pair in grammar.sides.of_a_pair]
        self._before = {*grammar.speech.article, *grammar.closed.classes.get("his_own", ())}
        self._words = {
            side: [norms(word) for word in getattr(grammar.sides, side)]
            for side in ("right", "left")
        }

    def inside(self, form: str, reading: Reading) -> Iterator[tuple[Key, Reading]]:
        """The forms with a side in them, folded, and what they mean."""
        if reading.plural:
            yield from (((*pair, *norms(form)), reading) for pair in self._pair)
            return
        if reading.kind not in {"site", "test", "detail"} or reading.side:
            return
        words = form.split()
        article = next((i for i, w in enumerate(words[:-1]) if w in self._before and i), None)
        if article is None:
            return
        rest = norms(" ".join(words[article + 1 :]))
        kept = [norms(" ".join(words[:end])) for end in (article + 1, article)]
        for side, names in self._words.items():
            sided = replace(reading, side=side)
            yield from (((*start, *name, *rest), sided) for name in names for start in kept)


def _site_forms(
    site: str, spec: Site, group: str = "", test: str = ""
) -> Iterable[tuple[str, Reading]]:
    plain = Reading("site", site, test, group)
    for form in spec.spoken:
        yield form, plain
    for form in spec.plural:
        yield form, replace(plain, plural=True)
    for kept, forms in spec.keeps.items():
        for form in forms:
            yield form, replace(plain, kept=kept)
    for side in ("right", "left", "both"):
        for form in getattr(spec.with_side, side):
            yield form, replace(plain, side=side)


def _test_forms(grammar: Grammar, name: str, test: Test) -> Iterator[tuple[str, Reading]]:
    for form in test.spoken:
        casual = form in test.casual
        yield form, Reading("test", test.named or "", test=name, casual=casual)
    for form in test.plural:
        yield form, Reading("test", test.named or "", test=name, plural=True)
    for form in test.after_site:
        yield form, Reading("after_site", test=name)
    for form in test.after_site_plural:
        yield form, Reading("after_site", test=name, plural=True)
    if isinstance(test.sites, dict):
        for site, spec in test.sites.items():
            yield from _site_forms(site, spec, test=name)
    for count, sites in test.counts.items():
        for form in _count_forms(grammar, count, test.counted_as):
            yield form, Reading("site", "+".join(sites), test=name, sites=tuple(sites))
    for value, words in test.values.items():
        for form in words.spoken:
            yield form, Reading("value", value, test=name)
        for form in words.alone:
            answers, well = form in words.of_response, words.normal is True
            yield form, Reading("sign", value, test=name, response=answers, normal=well)
    for label, forms in test.details.items():
        for form in forms:
            yield form, Reading("detail", label, test=name)
    for form in test.directions:
        yield form, Reading("direction", test=name)
    if test.scale:
        scale = grammar.scales[test.scale]
        for label, part in scale.parts.items():
            for form in part.spoken:
                yield form, Reading("part", label, test=name)
        for grade, forms in scale.words.items():
            for form in forms:
                yield form, Reading("grade_word", grade, test=name)


def _count_forms(grammar: Grammar, count: str, more: Sequence[str]) -> Iterator[str]:
    for word in (count, *grammar.numbers.numbers.get(count, ())):
        for form in ("times #", "x #", *more):
            yield form.replace("#", word)


_SPEECH_LISTS = (
    "exception", "contrast", "also", "join", "either", "becomes", "repeat", "degree", "doubt",
    "quality", "compare", "edge", "glue", "place", "range", "filler", "rest", "hesitation",
    "before_side", "announce", "foreign", "trouble", "circumstance", "request", "limb_part",
    "pronoun", "measured_by", "missed", "counted",
)  # fmt: skip


def _speech_forms(grammar: Grammar) -> Iterator[tuple[str, Reading]]:
    speech = grammar.speech
    nested = {
        "deny": speech.negation.before,
        "denied": speech.negation.after,
        "neither": speech.negation.neither,
        "pseudo": speech.negation.pseudo,
        "not_tested": speech.not_done.not_tested,
        "unable": speech.not_done.unable,
        "reason": speech.not_done.reason,
        "opinion": speech.opinion,
        "take_back": speech.correction.take_back,
        "replace": speech.correction.replace,
        "swap": speech.correction.swap,
        "definite": speech.correction.definite,
        "instruct": speech.talk.instruct,
        "ask": speech.talk.ask,
        "reply": speech.talk.reply,
        "reported": speech.talk.reported,
        "elsewhere": (*speech.talk.elsewhere, *speech.aside),
        "you": speech.talk.you,
        "own": speech.talk.own,
        "tells": speech.talk.tells,
        "opening": speech.talk.opening,
        "symptom": speech.talk.symptoms,
        "tag": speech.talk.tags,
        "clause": speech.talk.clause,
        "exam": speech.talk.exam,
        "clinic": speech.talk.clinic,
        "first": speech.talk.first,
        "account": speech.talk.account,
        "other_part": speech.talk.other_parts,
        "exam_opens": speech.talk.exam_opens,
    }
    for kind in _SPEECH_LISTS:
        nested[kind] = getattr(speech, kind)
    for kind, forms in nested.items():
        for form in forms:
            yield form, Reading(kind, form)


def _misheard_forms(grammar: Grammar) -> Iterator[tuple[str, Reading]]:
    known: dict[tuple[str, ...], list[Reading]] = {}
    wanted = {norms(word) for word in grammar.misheard.misheard}
    for form, reading in _own_forms(grammar):
        if norms(form) in wanted:
            known.setdefault(norms(form), []).append(reading)
    for word, heard in grammar.misheard.misheard.items():
        for form in heard:
            for reading in known.get(norms(word), ()):
                yield form, reading


def _own_forms(grammar: Grammar) -> Iterator[tuple[str, Reading]]:
    for name, group in grammar.groups.items():
        for site, spec in group.sites.items():
            yield from _site_forms(site, spec, group=name)
    for name, test in grammar.tests.items():
        yield from _test_forms(grammar, name, test)


@lru_cache(maxsize=4)
def lexicon_of(grammar: Grammar) -> Lexicon:
    """The lexicon of a grammar, built once; nobody adds to it."""
    return Lexicon(grammar)
