"""Numbers beside names: parts of a total, ranges of sites, what a size becomes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.grades import Grade
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading


def lone_parts(row: list[Item]) -> None:
    """ "eye" is a part of a total only beside that total or another part of it."""
    named = {reading.test for item in row for reading in item.of_kind("test")}
    parts = [reading for item in row for reading in item.of_kind("part")]
    for i, item in enumerate(row):
        for reading in item.of_kind("part"):
            others = {part.id for part in parts if part.test == reading.test}
            counts = reading.test in named or len(others) > 1
            if not counts:
                item.kind = "glue" if item.kind == "part" else item.kind
                item.readings = tuple(r for r in item.readings if r.kind != "part")
            elif counts and i + 1 < len(row) and row[i + 1].kind == "grade":
                item.kind = "part"  # "motor six" beside "eyes four"


def losses(row: list[Item]) -> list[Item]:
    """ "Lost two for recall", "two points off": what was missed, and not what was achieved."""
    for i, item in enumerate(row):
        grade = item.grade
        if grade is None or grade.sign or grade.unit or item.kind not in {"grade", "quality"}:
            continue
        beside = [_next_but(row, i, step) for step in (-1, 1)]
        words = [x for x in beside if x is not None and "missed" in x.others]
        if words:
            item.kind, item.grade = "grade", replace(grade, missed=True, counts=False)
        for word in words:
            word.kind, word.readings = "quality", ()
    return row


def _next_but(row: list[Item], i: int, step: int) -> Item | None:
    """The next item in a direction that is more than a joining word or what was counted."""
    j = i + step
    while 0 <= j < len(row) and "missed" not in row[j].others:
        if row[j].kind not in {"glue", "degree"} and "counted" not in row[j].others:
            break
        j += step
    return row[j] if 0 <= j < len(row) else None


def numbered(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "cranial nerves II-XII", "two to twelve": which ones is detail, not a grade."""
    romans = {word.lower() for words in grammar.numbers.roman.values() for word in words}
    for i, item in enumerate(row):
        if not any(grammar.tests[r.test].numbered for r in item.of_kind("test")):
            continue
        j = i + 1
        while j < len(row) and (
            row[j].text in romans or row[j].kind == "grade" or _between(row, j)
        ):
            j += 1
        if j > i + 1:
            joined = Item("quality", row[i + 1].start, row[j - 1].end, text="numbered")
            return [*row[: i + 1], joined, *numbered(row[j:], grammar)]
    return row


def parts_of_total(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
    """After the name of a total, "V2" is its part V and no site."""
    out: list[Item] = []
    forms: dict[str, Reading] = {}
    for item in row:
        for reading in item.of_kind("test"):
            scale = grammar.tests[reading.test].scale
            parts = grammar.scales[scale].parts if scale else {}
            forms.update(
                {
                    form.lower(): Reading("part", label, reading.test)
                    for label, part in parts.items()
                    for form in part.spoken
                }
            )
        first, number = words[item.start], words[item.end - 1]
        if (
            item.kind == "target"
            and item.end - item.start == 2
            and first in forms
            and number.isdigit()
        ):
            out.append(Item("part", item.start, item.start + 1, (forms[first],), text=first))
            grade = Grade(number, "", item.start + 1, item.end)
            out.append(Item("grade", item.start + 1, item.end, grade=grade, text=number))
        else:
            out.append(item)
    return out


def _between(row: list[Item], j: int) -> bool:
    """A joining word between two numbers of a range."""
    joins = row[j].others & {"range", "join"} or row[j].text in {"-", "–", ",", "/"}
    return bool(joins) and j + 1 < len(row) and row[j + 1].kind in {"grade", "unknown"}


def ranges(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "V1 to V3", "C6 to C8": every site of the range, as one target."""
    out: list[Item] = []
    i = 0
    while i < len(row):
        joined = None
        if i + 2 < len(row) and (row[i + 1].others & {"range"} or row[i + 1].text in {"-", "–"}):
            joined = _range(row[i], row[i + 2], grammar)
        if i + 1 < len(row) and joined is None and row[i + 1].kind == "target":
            hyphened = row[i].kind == "target" and row[i + 1].start - row[i].end <= 0
            joined = _range(row[i], row[i + 1], grammar) if hyphened and row[i].placed else None
            if joined:
                joined.end = row[i + 1].end
        if joined:
            out.append(joined)
            i += 3
        else:
            out.append(row[i])
            i += 1
    return out


def _range(first: Item, last: Item, grammar: Grammar) -> Item | None:
    for a in first.of_kind("site"):
        for b in last.of_kind("site"):
            if (a.group, a.test) != (b.group, b.test):
                continue
            orders = grammar.groups[a.group].ranges if a.group else grammar.tests[a.test].ranges
            for order in orders:
                if a.id in order and b.id in order and order.index(a.id) < order.index(b.id):
                    sites = tuple(order[order.index(a.id) : order.index(b.id) + 1])
                    reading = Reading("site", "+".join(sites), a.test, a.group, sites=sites)
                    return Item("target", first.start, last.end, (reading,), text="range")
    return None


def worded_ranges(row: list[Item]) -> list[Item]:
    """ "poor to one plus": a range of which one end is a word."""
    for i in range(len(row) - 2):
        ends = row[i].kind == "value" and row[i + 2].kind == "grade"
        if ends and "range" in row[i + 1].others:
            row[i + 1].kind = "doubt"
    return row


def becomes(row: list[Item]) -> list[Item]:
    """ "four decreasing to two": the second size is detail. A bare "to" makes a range instead."""
    for i, item in enumerate(row[:-1]):
        spoken = "becomes" in item.others and "range" not in item.others
        if spoken and row[i + 1].kind == "grade" and any(x.kind == "grade" for x in row[:i]):
            joined = Item("quality", item.start, row[i + 1].end, text="becomes")
            return [*row[:i], joined, *becomes(row[i + 2 :])]
    return row


def lines_of_chart(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Acuity six six right, six twelve left": two numbers in a row are one line of a chart.

    Args:
        row: The items of one sentence.
        grammar: For the tests that have such a scale.
    """
    tests = {r.test for item in row for r in item.of_kind("test", "after_site")}
    scales = [grammar.scales[s] for test in tests if (s := grammar.tests[test].scale)]
    charts = [scale for scale in scales if scale.kind == "acuity"]
    if not charts:
        return row
    first = {str(n) for scale in charts for n in scale.first}
    second = {str(n) for scale in charts for n in scale.second}
    for i in range(len(row) - 1):
        one, two = row[i].grade, row[i + 1].grade
        if one is None or two is None or not (_plain_number(one) and _plain_number(two)):
            continue
        if one.number in first and two.number in second:
            line = replace(one, of=two.number, end=two.end)
            joined = replace(row[i], end=two.end, grade=line)
            return lines_of_chart([*row[:i], joined, *row[i + 2 :]], grammar)
    return row


def _plain_number(grade: Grade) -> bool:
    more = grade.of or grade.sign or grade.until or grade.unit or grade.counts or grade.missed
    return not more
