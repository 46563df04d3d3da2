"""Narrations built from the loaded grammar, and what they must come to.

Nothing here knows a muscle or a reflex by name: words come from the grammar files, so a new site or
test is under the laws as soon as it stands there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from hypothesis import strategies as st

from dictate.grammar import load_grammar, schema
from dictate.model import Finding, Record, Utterance
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


# ---- right for left


@cache
def _turned() -> dict[str, str]:
    """Each word of a side with its counterpart, from the grammar's own pairs."""
    pairs = [("right", "left"), ("rt", "lt"), ("od", "os"), ("r", "l")]
    pairs += [(f"right{end}", f"left{end}") for end in ("ward", "wards")]
    for group in [g.sites for g in GRAMMAR.groups.values()] + [
        GRAMMAR.sites_of(test) for test in GRAMMAR.tests
    ]:
        for site in group.values():
            held = site.with_side
            pairs += zip(map(str.lower, held.right), map(str.lower, held.left), strict=True)
    return dict(pairs) | {b: a for a, b in pairs}


def mirror_text(text: str) -> str:
    """Right for left and left for right, word by word."""
    turned = _turned()

    def other(match: re.Match[str]) -> str:
        word = match.group()
        if len(word) == 1:
            return word  # "R" and "L" are also parts of other names ("L5")
        back = turned.get(word.lower())
        return word if back is None else back.upper() if word.isupper() else back

    return re.sub(r"[A-Za-z]+", other, text)


def mirror_row(finding: Finding) -> tuple[str, str | None, str | None, str, tuple[str, ...]]:
    """A finding as it must be in the mirrored record."""
    side = {"right": "left", "left": "right", None: None}[finding.side]
    detail = tuple(sorted(mirror_text(words) for words in finding.detail))
    return finding.test, finding.site, side, mirror_text(finding.value), detail
