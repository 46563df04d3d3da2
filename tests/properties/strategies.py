"""Narrations built from the loaded grammar, and what they must come to.

Nothing here knows a muscle or a reflex by name: words come from the grammar files, so a new site or
test is under the laws as soon as it stands there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from hypothesis import strategies as st

from dictate.grammar import load_grammar, schema
from dictate.model import Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()

Row = tuple[str, str | None, str | None, str]

NUMBERS = {"0": "zero", "1": "one", "2": "two", "3": "three", "4": "four", "5": "five"}
SIGNS = {"+": " plus", "-": " minus", "": ""}

#: Instructions and remarks that say nothing of the examination.
TALK = (
    "Close your eyes.",
    "Okay, thank you.",
    "Push against my hand.",
    "Tell me if that feels the same.",
    "Can you look up at the ceiling for me?",
    "The weather has been dreadful this week.",
    "Let me get my hammer.",
    "Relax.",
    "Don't let me push you down.",
)


def hear(*lines: str) -> Record:
    """The record of a few lines, one utterance each."""
    session = Session(GRAMMAR)
    for number, line in enumerate(lines, 1):
        session.hear(Utterance(f"u{number}", line))
    return session.record()


def rows(record: Record) -> list[Row]:
    """What the findings say, without their places."""
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


# ---- self-contained statements


@dataclass(frozen=True)
class Statement:
    """A sentence that needs nothing before it, and the one finding that it must give."""

    text: str
    row: Row


def _spoken(grade: str) -> str:
    number = grade.rstrip("+-")
    return NUMBERS[number] + SIGNS[grade[len(number) :]]


def _sided(sites: dict[str, schema.Site]) -> list[tuple[str, str]]:
    return [
        (site, spec.spoken[0])
        for site, spec in sites.items()
        if not spec.unsided and spec.spoken and not any(c.isdigit() for c in spec.spoken[0])
    ]


def _graded_tests(of_says_scale: bool) -> list[str]:
    """Tests whose scale is of ordered grades and is settled by its "of" (or is not)."""
    return [
        name
        for name, test in GRAMMAR.tests.items()
        if test.scale is not None
        and GRAMMAR.scales[test.scale].kind == "grades"
        and GRAMMAR.scales[test.scale].of_says_scale is of_says_scale
    ]


@cache
def _power() -> list[tuple[str, str, str, str]]:
    """(test, site, its spoken name, grade) of every grade that its "of" settles."""
    return [
        (test, site, name, grade)
        for test in _graded_tests(of_says_scale=True)
        for site, name in _sided(GRAMMAR.sites_of(test))
        for grade in GRAMMAR.scales[GRAMMAR.tests[test].scale or ""].grades
    ]


@cache
def _jerks() -> list[tuple[str, str, str, str]]:
    """(test, site, its spoken name with the test's word, grade): "knee jerk"."""
    return [
        (test, site, f"{name} {GRAMMAR.tests[test].after_site[0]}", grade)
        for test in _graded_tests(of_says_scale=False)
        if GRAMMAR.tests[test].after_site
        for site, name in _sided(GRAMMAR.sites_of(test))
        for grade in GRAMMAR.scales[GRAMMAR.tests[test].scale or ""].grades
    ]


def _say(draw: st.DrawFn, entry: tuple[str, str, str, str], side: str) -> Statement:
    test, site, name, grade = entry
    scale = GRAMMAR.scales[GRAMMAR.tests[test].scale or ""]
    forms = [_spoken(grade), grade]
    if scale.of_says_scale:
        forms = [f"{_spoken(grade)} out of {NUMBERS[str(scale.of)]}", f"{grade}/{scale.of}"]
    return Statement(f"{side} {name} {draw(st.sampled_from(forms))}", (test, site, side, grade))


def _entries() -> st.SearchStrategy[tuple[str, str, str, str]]:
    return st.one_of(st.sampled_from(_power()), st.sampled_from(_jerks()))


@st.composite
def statements(draw: st.DrawFn) -> Statement:
    """A site with its side and a grade that settles the test, typed or spoken."""
    return _say(draw, draw(_entries()), draw(st.sampled_from(["right", "left"])))


@st.composite
def rivals(draw: st.DrawFn) -> tuple[Statement, Statement]:
    """Two statements of one test, site and side with different grades."""
    entry, side = draw(_entries()), draw(st.sampled_from(["right", "left"]))
    scale = GRAMMAR.scales[GRAMMAR.tests[entry[0]].scale or ""]
    other = draw(st.sampled_from([grade for grade in scale.grades if grade != entry[3]]))
    return _say(draw, entry, side), _say(draw, (*entry[:3], other), side)


def narrations(smallest: int = 1, largest: int = 6) -> st.SearchStrategy[list[Statement]]:
    """Statements of which no two speak of the same test, site and side."""
    return st.lists(
        statements(), min_size=smallest, max_size=largest, unique_by=lambda s: s.row[:3]
    )


# ---- whatever the grammar knows, in any order


@cache
def words() -> tuple[str, ...]:
    """Every spoken form of sites, tests, values, sides and statements."""
    found: set[str] = set()
    for group in GRAMMAR.groups.values():
        for site in group.sites.values():
            found |= {*site.spoken, *site.plural}
    for test in GRAMMAR.tests.values():
        found |= {*test.spoken, *test.plural, *test.after_site}
        for value in test.values.values():
            found |= {*value.spoken, *value.alone}
    sides, speech = GRAMMAR.sides, GRAMMAR.speech
    found |= {*sides.right, *sides.left, *sides.both, *sides.other, *sides.both_after_value}
    for listed in (speech.exception, speech.contrast, speech.also, speech.join, speech.range,
                   speech.repeat, speech.degree, speech.doubt, speech.compare, speech.rest,
                   speech.negation.before, speech.negation.after, speech.not_done.not_tested,
                   speech.not_done.reason, speech.correction.take_back,
                   speech.correction.replace):  # fmt: skip
        found |= set(listed)
    return tuple(sorted(found))


@cache
def grades() -> tuple[str, ...]:
    """Grades of every scale as typed and as spoken, with and without what they are out of."""
    every = {grade for scale in GRAMMAR.scales.values() for grade in scale.grades}
    spoken = {_spoken(grade) for grade in every}
    out_of = {f"{grade}/5" for grade in every} | {f"{words} out of five" for words in spoken}
    return tuple(sorted(every | spoken | out_of))


def salads(vocabulary: tuple[str, ...] | None = None) -> st.SearchStrategy[str]:
    """An utterance of words of the examination in any order: sense is not promised."""
    sides = st.sampled_from(["right", "left", "both", "on the right", "bilaterally"])
    word = st.sampled_from(vocabulary or words())
    pieces = [word, word, st.sampled_from(grades())] + ([] if vocabulary else [sides])
    joins = st.sampled_from([" ", " ", " ", ", ", " and ", ". ", ": "])
    return st.lists(st.tuples(st.one_of(pieces), joins), min_size=1, max_size=9).map(
        lambda pairs: "".join(piece + join for piece, join in pairs).strip()
    )


# ---- statements that make sense, run on in every way


SIDES = ("right {}", "left {}", "{} on the right", "{} on the left", "{} bilaterally", "both {}")
JOINS = (", ", " and ", ". ", ", but ", " except ", "; ", ", left ", ", right ", " then ", ", no ")
WHOLE = (
    "on the right,",
    "left:",
    "same on the other side",
    "left is the same",
    "and on the left",
    "take that back",
    "correction, four",
    "no, make that four plus",
    "I mean the left",
)


@cache
def _valued() -> dict[str, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]]:
    """Of each test: its names, the names of its sites, the words and grades of its values."""
    found = {}
    for name, test in GRAMMAR.tests.items():
        sites = [w for s in GRAMMAR.sites_of(name).values() for w in (*s.spoken, *s.plural)]
        values = [w for v in test.values.values() for w in (*v.spoken, *v.alone)]
        values += [w for v in test.values.values() for s in v.sets or () for w in GRAMMAR.sets[s]]
        scale = GRAMMAR.scales[test.scale] if test.scale else None
        values += [words for g in scale.grades for words in (g, _spoken(g))] if scale else []
        names = (*test.spoken, *test.plural)
        found[name] = (names, tuple(sites), tuple(values) or ("normal",))
    return found


@st.composite
def clauses(draw: st.DrawFn) -> str:
    """A test, a site of it and a value that it takes, some of them left out, in some order."""
    names, sites, values = _valued()[draw(st.sampled_from(sorted(_valued())))]
    pieces = [draw(st.sampled_from(names))] if names and draw(st.booleans()) else []
    if sites and (draw(st.booleans()) or not pieces):
        pieces.append(draw(st.sampled_from(sites)))
    named = " ".join(pieces)
    sided = draw(st.sampled_from((*SIDES, "{}"))).format(named)
    value = draw(st.sampled_from((*values, "")))
    order = draw(st.sampled_from(("{} {}", "{} is {}", "{1} {0}", "{1} in the {0}", "no {}")))
    return " ".join(order.format(sided, value).split())


@st.composite
def sayings(draw: st.DrawFn) -> str:
    """One utterance: one to three clauses joined, a whole sentence, or a salad."""
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return draw(salads())
    if kind == 1:
        return draw(st.sampled_from(WHOLE))
    text = draw(clauses())
    for _ in range(draw(st.integers(0, 2))):
        text += draw(st.sampled_from(JOINS)) + draw(clauses())
    return text
