"""Laws of the sides: mirrored in, mirrored out; no side without a word for it."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from .mirror import mirror_row, mirror_text
from .strategies import (
    GRAMMAR,
    Statement,
    grades,
    hear,
    narrations,
    rows,
    salads,
    sayings,
)

TURN = {"right": "left", "left": "right"}


@cache
def _unsided_words() -> tuple[str, ...]:
    """Names of sites and tests in the singular, and no word that could mean a side or both."""
    sided = {*GRAMMAR.sides.right, *GRAMMAR.sides.left, *GRAMMAR.sides.both, *GRAMMAR.sides.other}
    sided |= set(GRAMMAR.sides.both_after_value)
    found: set[str] = set()
    plural: set[str] = set()
    for group in [g.sites for g in GRAMMAR.groups.values()] + [
        GRAMMAR.sites_of(test) for test in GRAMMAR.tests
    ]:
        for site in group.values():
            found |= set(site.spoken)
            held = site.with_side
            plural |= {*site.plural, *held.right, *held.left, *held.both}
    for test in GRAMMAR.tests.values():
        found |= {*test.spoken, *test.after_site}
        plural |= {*test.plural, *test.after_site_plural}
    words = {word for phrase in sided | plural for word in phrase.lower().split()}
    small = {phrase for phrase in found if not words & set(phrase.lower().split())}
    return tuple(sorted(small))


def _filler_side() -> re.Pattern[str]:
    """A "right", or its mirror image, before a word that asks or before the name of a section."""
    names = {form for area in GRAMMAR.areas for form in area.heading.spoken}
    forms = "|".join(re.escape(form.lower()) for form in {*GRAMMAR.speech.talk.ask, *names})
    return re.compile(rf"\b(?:right|left)\W+(?:{forms})\b")


_FILLER_SIDE = _filler_side()


@given(narrations(1, 5))
def test_mirrored_statements_mirrored_record(narration: list[Statement]) -> None:
    lines = [s.text for s in narration]
    mirrored = hear(*map(mirror_text, lines))
    turned = [(test, site, TURN[side], grade) for test, site, side, grade in rows(hear(*lines))]
    assert Counter(rows(mirrored)) == Counter(turned)


@given(st.lists(sayings(), min_size=1, max_size=3))
@example(["L proximal LE 0"])
@example(["present abdominal reflex on the right then left present"])
def test_mirrored_salad_mirrored_record(lines: list[str]) -> None:
    """Whatever a text comes to, its mirror image comes to the mirror image.

    But for the one word that is no side everywhere: "right" opens a question to the patient and
    the next part of the examination ("right, does it hurt", "right, reflexes"), "left" does not.
    """
    assume(not any(_FILLER_SIDE.search(line.lower()) for line in lines))
    here, there = hear(*lines), hear(*map(mirror_text, lines))
    rows_there = [
        (f.test, f.site, f.side, f.value, tuple(sorted(f.detail))) for f in there.findings
    ]
    assert Counter(rows_there) == Counter(mirror_row(f) for f in here.findings)
    assert [q.kind for q in there.questions] == [q.kind for q in here.questions]
    assert [u.kind for u in there.utterances] == [u.kind for u in here.utterances]


#: "Deltoid five and five" is the right and the left: a wording of both sides without a word for it.
_FIVE_AND_FIVE = re.compile(r"(?<!\S)(\S+(?: (?:plus|minus|\+|-))?) and \1(?![^\s,;.])")


@given(salads(_unsided_words()))
def test_no_side_word_no_plural_nothing_held_no_side(text: str) -> None:
    assume(not _FIVE_AND_FIVE.search(text.lower()))
    assert {finding.side for finding in hear(text).findings} <= {None}, text


@given(narrations(1, 3), salads(_unsided_words()))
def test_the_side_of_an_item_does_not_hold_across_utterances(
    narration: list[Statement], text: str
) -> None:
    assume(not _FIVE_AND_FIVE.search(text.lower()))
    earlier = hear(*(s.text for s in narration))
    later = hear(*(s.text for s in narration), text)
    new = Counter(rows(later)) - Counter(rows(earlier))
    assert {side for _, _, side, _ in new} <= {None}, text


@given(st.sampled_from(["right", "left"]), narrations(1, 4))
def test_a_heading_holds(side: str, narration: list[Statement]) -> None:
    """Under "on the right," what follows without a side is of the right."""
    bare = [s.text.split(" ", 1)[1] for s in narration]
    held = [(t, s, side, v) for t, s, _, v in (s.row for s in narration)]
    if len({row[:2] for row in held}) < len(held):
        return
    section = {GRAMMAR.area_of(s.row[0]).area for s in narration}
    if len(section) > 1:
        return  # another section ends the heading
    assert Counter(rows(hear(f"on the {side}:", *bare))) == Counter(held)


@given(narrations(1, 4))
def test_both_is_two(narration: list[Statement]) -> None:
    if len({s.row[:2] for s in narration}) < len(narration):
        return
    lines = [f"{s.text.split(' ', 1)[1]} bilaterally" for s in narration]
    wanted = [(t, s, side, v) for t, s, _, v in (s.row for s in narration) for side in TURN]
    record = hear(*lines)
    assert Counter(rows(record)) == Counter(wanted)
    assert not record.questions


def test_the_mirror_can_fail() -> None:
    assert mirror_text("right deltoid four, RUE five") == "left deltoid four, LUE five"
    assert mirror_text(mirror_text("Left knee and right")) == "left knee and right"
    with pytest.raises(AssertionError):
        assert mirror_text("right") == "right"


def test_grades_are_the_grammars() -> None:
    assert {"4+", "four plus", "2+", "four plus out of five"} <= set(grades())
