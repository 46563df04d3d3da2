"""Words that qualify a statement: directions, comparisons, circumstances, reasons, edges.

What belongs together becomes one item, so that no word of it is taken for something else.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading
from dictate.interpret.runs import BREAKS

#: The text of a comparison of both sides.
BOTH_COMPARED = "both compared"
#: What may stand between a circumstance and its name ("during left finger to nose").
PASSED = ("glue", "degree", "quality", "place", "side")


def to_break(
    row: list[Item], i: int, breaks: Collection[str] = ("comma", "and", "stop")
) -> list[Item]:
    """The items from ``i`` to the next break, by default a comma or joining word."""
    end = next((j for j in range(i, len(row)) if row[j].kind in breaks), len(row))
    return row[i:end]


def directions(row: list[Item]) -> list[Item]:
    """ "right gaze", "gaze to the left", "left beating": a direction, never a side."""
    for i, item in enumerate(row):
        if item.kind != "direction":
            continue
        for step in (-1, 1):
            j = i + step
            while 0 <= j < len(row) and row[j].kind in {"glue", "place", "edge", "degree"}:
                j += step
            if 0 <= j < len(row) and row[j].kind == "side":
                a, b = min(i, j), max(i, j)
                joined = Item("detail", row[a].start, row[b].end, item.readings, text="direction")
                return directions([*row[:a], joined, *row[b + 1 :]])
    return row


def requests(row: list[Item]) -> list[Item]:
    """ "... when asked to recall three words": what was asked, up to the next break."""
    for i, item in enumerate(row):
        if "request" in item.others:
            end = i + 1 + len(to_break(row, i + 1))
            joined = Item("doubt", item.start, row[end - 1].end, item.readings, text=item.text)
            return [*row[:i], joined, *requests(row[end:])]
    return row


def circumstances(row: list[Item]) -> list[Item]:
    """ "jerks during drowsiness": what went on meanwhile is a detail, and no finding."""
    for i, item in enumerate(row):
        if "circumstance" not in item.others or item.kind == "quality":
            continue
        j = i + 1
        while j < len(row) and row[j].kind in {*PASSED, "grade", "unknown"}:
            j += 1
        named = j < len(row) and (row[j].of_kind("sign") or row[j].of_kind("test"))
        if named and not any(x.kind in {"value", "grade"} for x in row[j + 1 :]):
            joined = Item("quality", item.start, row[j].end, text="circumstance")
            return circumstances([*row[:i], joined, *row[j + 1 :]])
    return row


def qualifiers(row: list[Item]) -> list[Item]:
    """ "upward drift": a value of some other test that is a detail of the test beside it."""
    named = {r.test for item in row for r in item.of_kind("test", "sign", "after_site")}
    for item in row:
        own = {r.test for r in item.of_kind("value")}
        details = {r.test for r in item.of_kind("detail")} & named
        fitting = "" not in own and not own & named
        fitting = fitting or (not own & details and _before_test(row, item, details))
        if item.kind == "value" and details and fitting:
            item.kind = "detail"
            kept = tuple(r for r in item.readings if r.kind == "detail" and r.test in details)
            item.readings = kept
    return row


def _before_test(row: list[Item], item: Item, tests: set[str]) -> bool:
    """ "a fine tremor": right before the name that it qualifies."""
    after = row[row.index(item) + 1 :]
    target = next((x for x in after if x.kind not in {"detail", "quality", "degree"}), None)
    return target is not None and bool({r.test for r in target.of_kind("test")} & tests)


def compared(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "compared to the left", "right more than left": the side compared with is no side here.

    "Worse on the left": both sides have it, and one more of it.
    """
    ends, more = grammar.speech.compare_ends, grammar.speech.compare_more_ends
    for i, item in enumerate(row):
        if item.kind != "compare":
            continue
        if not item.text.endswith((*ends, *more)):
            side = _side_that_has_more(row, i)
            if side is not None:
                joined = Item(
                    "compare", row[side].start, item.end, item.readings, text=BOTH_COMPARED
                )
                return compared([*row[:side], joined, *row[i + 1 :]], grammar)
            continue
        after = _next_side(row, i, 1)
        if after is None:
            continue
        before = _next_side(row, i, -1)
        bare = " " not in item.text or not item.text.endswith(ends[:1])
        placed = before is not None and bare and _after_place(row, before)
        first = i if before is None or placed else before
        both = first != i or item.text.endswith(more)
        text = BOTH_COMPARED if both else item.text
        joined = Item("compare", row[first].start, row[after].end, item.readings, text=text)
        return compared([*row[:first], joined, *row[after + 1 :]], grammar)
    return row


def _side_that_has_more(row: list[Item], i: int) -> int | None:
    """ "Pupils four millimetres, right slightly larger": a side that is compared after a value."""
    if row[i].text == BOTH_COMPARED:
        return None
    before = _next_side(row, i, -1)
    j = before - 1 if before is not None else -1
    while j >= 0 and row[j].kind in {"comma", "glue", "but", "and"}:
        j -= 1
    return before if j >= 0 and row[j].kind in {"value", "grade", "both_after"} else None


def _after_place(row: list[Item], i: int) -> bool:
    """ "on the right compared to ...": a word of place leads to this side."""
    j = i - 1
    while j >= 0 and row[j].kind == "glue" and not row[j].others & {"place", "before_side"}:
        j -= 1
    return j >= 0 and bool(row[j].others & {"place", "before_side"})


def _next_side(row: list[Item], i: int, step: int) -> int | None:
    """The side right before or after a comparison."""
    j = i + step
    while 0 <= j < len(row) and row[j].kind in {"glue", "degree", "place"}:
        if step < 0 and row[j].kind == "place":
            return None
        j += step
    return j if 0 <= j < len(row) and row[j].kind == "side" else None


def reasons(row: list[Item]) -> list[Item]:
    """ "because of the cast": all of it is the reason, up to the next break or graded muscle."""
    for i, item in enumerate(row):
        if item.kind == "reason":
            j = i + 1
            while j < len(row) and row[j].kind not in {"comma", "stop", "but", "except", "colon"}:
                if j > i + 1 and _graded(row, j):
                    break
                j += 1
            if j > i + 1:
                first = i if "opinion" in item.others else i + 1
                joined = Item("because", row[first].start, row[j - 1].end, text="reason")
                return [*row[:first], joined, *reasons(row[j:])]
    return row


#: What may stand in a reason that no word announces, and what may come before it.
_WHY = frozenset({"unknown", "glue", "place", "value", "quality", "degree", "unable", "talk"})
_WHERE = frozenset({"place", "glue", "side", "direction"})


def bare_reasons(row: list[Item]) -> list[Item]:
    """ "Gait not tested high fall risk": words after it that are no statement say why.

    Args:
        row: The items of one sentence.
    """
    for i, item in enumerate(row):
        start = next((j for j in range(i, 0, -1) if row[j - 1].kind in BREAKS), 0)
        named = any(x.kind in {"target", "side"} for x in row[start:i])
        if item.kind not in {"not_tested", "unable"} or not named:
            continue  # "could not juggle": what could not be done, and not why
        end = next((j for j in range(i + 1, len(row)) if row[j].kind in BREAKS), len(row))
        first = i + 1
        sides = [j for j in range(i + 1, end) if row[j].kind == "side"]
        if sides and all(x.kind in _WHERE for x in row[i + 1 : sides[0]]):
            first = sides[0] + 1
        words = row[first:end]
        if any(x.kind == "unknown" for x in words) and all(x.kind in _WHY for x in words):
            because = Item("because", words[0].start, words[-1].end, text="reason")
            return [*row[:first], because, *bare_reasons(row[end:])]
    return row


def _graded(row: list[Item], j: int) -> bool:
    """ "... because of the sling biceps five": the next statement, with its side if it has one."""
    j += row[j].kind == "side"
    named = j + 1 < len(row) and row[j].kind == "target" and row[j + 1].kind == "grade"
    return named and row[j - 1].kind not in {"place", "edge"}


def edges(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "up to the mid shin": the site is where it ends, the wording is kept as detail.

    A bare "to" with a whole limb ("intact to the lower extremities") is no edge but a place.
    """
    for i, item in enumerate(row):
        if item.kind != "edge":
            continue
        j = i + 1
        while j < len(row) and row[j].kind in {
            "glue",
            "place",
            "edge",
            "quality",
            "degree",
            "rest",
            "side",
        }:
            j += 1
        target = row[j] if j < len(row) else None
        if (
            target is None
            or target.kind != "target"
            or not any(reading.group == "region" for reading in target.of_kind("site"))
        ):
            continue
        sites = tuple(r for r in target.of_kind("site") if r.group == "region")
        if item.others & {"range"} and any(whole_limb(r, grammar) for r in target.of_kind("site")):
            item.kind = "place"
            continue
        sides = [piece for piece in row[i:j] if piece.kind == "side"]
        edge = Item("edge_site", item.start, target.end, sites, text="edge", placed=True)
        return [*row[:i], *sides, edge, *edges(_of_limb(row[j + 1 :], grammar), grammar)]
    return row


def _of_limb(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "To the mid shin, both legs": the limb after such a site says its side alone."""
    k = next((k for k, x in enumerate(row) if x.kind not in {"glue", "place"}), len(row))
    if k + 1 >= len(row) or row[k].kind != "side" or row[k + 1].kind != "target":
        return row
    if not any(whole_limb(r, grammar) for r in row[k + 1].of_kind("site")):
        return row
    limb = replace(row[k + 1], kind="glue", readings=(), others=frozenset())
    return [*row[: k + 1], limb, *row[k + 2 :]]


def whole_limb(reading: Reading, grammar: Grammar) -> bool:
    """An arm or a leg, or all of them; not a part of one."""
    return reading.group == "limb" and not grammar.groups["limb"].sites[reading.id].part_of
