"""Frames of the grammar inside one another: read back as the same findings, or asked about.

What must come out is worked out here from the rules of a record (a heading's side and limb hold, a
side at the end holds for the list, an exception wins, "the same" repeats on the other side), and
never by the reader. Words come from the grammar files; the frames are common practice, no source.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator

import pytest

from dictate.grammar.load import load_grammar
from dictate.model import OTHER_SIDE, Record, Utterance
from dictate.parse.session import ParseSession

GRAMMAR = load_grammar()
GRADES = {"5": "five", "4": "four", "4+": "four plus", "3": "three", "4-": "four minus"}
STRENGTH = next(name for name, t in GRAMMAR.tests.items() if t.scale == "mrc")
Row = tuple[str, str | None, str | None, str]


def _limbs() -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """A limb as it is spoken, and muscles of it that are nothing else, as (site, spoken)."""
    muscles = GRAMMAR.sites_of(STRENGTH)
    reflexes = {w for t in GRAMMAR.tests.values() if t.scale == "reflex"
                for s in GRAMMAR.groups[str(t.sites)].sites.values() for w in s.spoken}  # fmt: skip
    for limb, spec in GRAMMAR.groups["limb"].sites.items():
        parts = [
            (site, m.spoken[0])
            for site, m in muscles.items()
            if limb in m.part_of and m.spoken and not m.unsided and m.spoken[0] not in reflexes
            and len(m.spoken[0].split()) > 1
        ]  # fmt: skip
        if len(parts) > len(GRADES) and spec.spoken:
            yield spec.spoken[0], parts


LIMBS = list(_limbs())[:2]
HEADS = ("{side} {limb}: ", "In the {side} {limb}, ", "{side} {limb}. ", "On the {side}, ")


def _names_first(items: list[tuple[str, str]]) -> str:
    return ", ".join(f"{name} {grade}" for name, grade in items)


def _run_on(items: list[tuple[str, str]]) -> str:
    return " ".join(f"{name} {grade}" for name, grade in items)


def _values_first(items: list[tuple[str, str]]) -> str:
    return ", ".join(f"{grade} for {name}" for name, grade in items)


LISTS: tuple[Callable[[list[tuple[str, str]]], str], ...] = (_names_first, _run_on, _values_first)


def _heard(*lines: str) -> tuple[set[Row], Record]:
    session = ParseSession(GRAMMAR)
    for i, line in enumerate(lines, 1):
        session.take(Utterance(f"u{i}", line[0].upper() + line[1:]))
    record = session.record()
    return {(f.test, f.site, f.side, f.value) for f in record.findings}, record


def _fine(lines: tuple[str, ...], wanted: set[Row]) -> None:
    found, record = _heard(*lines)
    assert found <= wanted, (lines, sorted(map(str, found - wanted)))
    assert found == wanted or record.questions, (lines, sorted(map(str, wanted - found)))


def _mirrored(text: str) -> str:
    return re.sub(r"\b(right|left)\b", lambda m: OTHER_SIDE[m.group()], text)


FRAMES = [
    (head, row, tail)
    for head, row in itertools.product(HEADS, LISTS)
    for tail in ("", "same", "late", "except", "corrected")
]


@pytest.mark.parametrize(("head", "row", "tail"), FRAMES)
def test_headings_lists_and_what_follows(
    head: str, row: Callable[[list[tuple[str, str]]], str], tail: str
) -> None:
    read_back = 0
    for limb, parts in LIMBS:
        items = list(zip(parts, GRADES, strict=False))[:3]
        text = head.format(side="right", limb=limb)
        text += row([(name, GRADES[grade]) for (_, name), grade in items])
        wanted: set[Row] = {(STRENGTH, site, "right", grade) for (site, _), grade in items}
        (site, name), old = items[1]
        new = next(g for g in GRADES if g not in {grade for _, grade in items})
        lines: tuple[str, ...] = (text + ".",)
        if tail == "same":
            lines = (*lines, "the same on the left.")
            wanted |= {(t, s, OTHER_SIDE[side or ""], v) for t, s, side, v in wanted}
        if tail == "late":
            lines = (*lines, f"{name} on the left {GRADES[new]}.")
            wanted.add((STRENGTH, site, "left", new))
        if tail == "except":
            lines = (f"{text}.", f"the same on the left, except {name} {GRADES[new]}.")
            wanted |= {(t, s, "left", v) for t, s, _, v in wanted if s != site}
            wanted.add((STRENGTH, site, "left", new))
        if tail == "corrected":
            lines = (*lines, f"{name}, I misspoke, it was {GRADES[new]}.")
            wanted -= {(STRENGTH, site, "right", old)}
            wanted.add((STRENGTH, site, "right", new))
        _fine(lines, wanted)
        found, _ = _heard(*lines)
        other, _ = _heard(*(_mirrored(line) for line in lines))
        assert other == {(t, s, OTHER_SIDE[d] if d else d, v) for t, s, d, v in found}
        read_back += found == wanted
    if tail in ("", "late"):
        assert read_back, "a frame that is only ever asked about is not understood"


@pytest.mark.parametrize("row", LISTS)
@pytest.mark.parametrize("end", [" on the {s}", ", all on the {s}", " {s}"])
def test_a_side_at_the_end_is_of_the_whole_list(
    row: Callable[[list[tuple[str, str]]], str], end: str
) -> None:
    for _, parts in LIMBS:
        items = list(zip(parts, GRADES, strict=False))[:3]
        text = row([(name, GRADES[grade]) for (_, name), grade in items]) + end.format(s="left")
        _fine((text + ".",), {(STRENGTH, site, "left", grade) for (site, _), grade in items})


#: Signs that are there or not, whose denial needs no side: every fourth of them, by threes.
SIGNS = [
    (name, spec.spoken[0])
    for name, spec in GRAMMAR.tests.items()
    if spec.named == "present" and spec.denied == "absent" and spec.spoken and not spec.everyday
    and spec.values[spec.denied].normal and len(spec.spoken[0].split()) == 1
][::4]  # fmt: skip
DENIALS = (
    "no {0}, {1} or {2}",
    "no {0}, no {1} and no {2}",
    "{0}, {1} and {2} were all absent",
    "{0} absent, {1} absent, {2} absent",
    "I could not find any {0}, {1} or {2}",
    "neither {0} nor {1}, and no {2} either",
)


@pytest.mark.parametrize("way", DENIALS)
def test_a_denial_covers_its_list(way: str) -> None:
    for row in zip(SIGNS, SIGNS[1:], SIGNS[2:], strict=False):
        found, record = _heard(way.format(*(name for _, name in row)) + ".")
        assert not [f for f in found if f[3] == "present"], (way, row)
        told = {test for test, _, _, _ in found}
        assert {test for test, _ in row} <= told or record.questions, (way, row)
