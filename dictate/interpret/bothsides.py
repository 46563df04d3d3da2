"""Both sides of what was said: two equal grades in a row, and words that close a list.

"Deltoid five and five" is the right and the left; "hip flexors five, knee extensors five, all of
that bilaterally" says the sides of the whole list, and corrects nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading
from dictate.interpret.statement import Statement

_JOINS = {"glue", "place", "and", "whole_run"}
#: "Right and left": two sides and the word that joins them.
_THREE_WORDS = 3
#: What may follow a pair of grades: the pair is complete there.
_ENDS = {"comma", "stop", "but", "except", "target", "and", "rest", "deny"}


def closes_list(row: list[Item]) -> list[Item]:
    """ "..., all of that bilaterally", "..., and that goes for both sides": no correction.

    Nothing before it had a side, so there is none that it could correct.

    Args:
        row: The items of one sentence, as the lexicon gave them.
    """
    side = next((i for i, item in enumerate(row) if item.kind == "side"), None)
    if side is None or any(item.kind not in {"stop", "glue"} for item in row[side + 1 :]):
        return row
    start = side
    while start and row[start - 1].kind in _JOINS:
        start -= 1
    whole = any(item.kind == "whole_run" for item in row[start:side])
    joined = any(item.kind == "and" for item in row[start:side])
    said = [item for item in row[:start] if item.kind in {"grade", "value"}]
    names = [item for item in row[:start] if item.kind == "target"]
    plain = not any(item.others & {"replace", "take_back", "swap"} for item in row)
    both = any(reading.id == "both" for reading in row[side].of_kind("side"))
    if not (names and said and plain and (whole or (joined and both))):
        return row
    for item in row[start:side]:
        item.kind, item.readings, item.others = "glue", (), frozenset()
    if start and row[start - 1].kind != "comma":
        at = row[start].start
        row.insert(start, Item("comma", at, at, text=","))
    return row


def both_alike(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Grip five and five": a grade for either side, where both are the same.

    Without the "and" it may be one word said twice.

    Args:
        row: The items of one sentence.
        grammar: For the sides that a name needs.
    """
    for i in range(1, len(row)):
        second = i + 2
        if second >= len(row) or row[i + 1].text != "and" or not _same(row[i], row[second]):
            continue
        ends = second + 1 == len(row) or row[second + 1].kind in _ENDS
        if not ends or not _one_paired(row, i, grammar):
            continue
        both = Item(
            "side", row[second].start, row[second].end, (Reading("side", "both"),),
            text="both", others=frozenset({"side"}),
        )  # fmt: skip
        unit = row[second].grade
        if unit is not None and unit.unit:
            row[i].grade = unit
        return both_alike([*row[: i + 1], both, *row[second + 1 :]], grammar)
    return row


def two_sides(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Five on the right and left four plus": two sides, each with its own value, and not both.

    Args:
        row: The items of one sentence.
        grammar: For the words of the sides.
    """
    valued = {"value", "grade"}
    for i, item in enumerate(row):
        if item.kind != "side" or item.end - item.start != _THREE_WORDS:
            continue
        before = next((x for x in reversed(row[:i]) if x.kind not in {"glue", "place"}), None)
        after = next((x for x in row[i + 1 :] if x.kind != "glue"), None)
        if before is None or after is None or not {before.kind, after.kind} <= valued:
            continue
        words = item.text.split()
        ids = [
            next((s for s in ("right", "left") if word in _folded(getattr(grammar.sides, s))), "")
            for word in (words[0], words[-1])
        ]
        if set(ids) == {"right", "left"}:
            first, last = (
                Item("side", at, at + 1, (Reading("side", side),), text=side,
                     others=frozenset({"side"}))
                for side, at in zip(ids, (item.start, item.end - 1), strict=True)
            )  # fmt: skip
            join = Item("and", item.start + 1, item.end - 1, text="and")
            return two_sides([*row[:i], first, join, last, *row[i + 1 :]], grammar)
    return row


def _folded(forms: Sequence[str]) -> set[str]:
    return {form.lower() for form in forms}


def _same(first: Item, second: Item) -> bool:
    """The same plain grade twice; one with its total ("five of five") says more."""
    if first.grade is None or second.grade is None:
        return False
    odd = any(g.of or g.until or g.counts or g.missed for g in (first.grade, second.grade))
    units = first.grade.unit in {None, second.grade.unit}
    return not odd and units and first.grade.text == second.grade.text


def _one_paired(row: Sequence[Item], i: int, grammar: Grammar) -> bool:
    """Right before the grades stands one name of a thing that has a right and a left."""
    j = i - 1
    while j >= 0 and row[j].kind in {"glue", "colon"}:
        j -= 1
    if j < 0 or row[j].kind != "target":
        return False
    before = next((x for x in reversed(row[:j]) if x.kind != "glue"), None)
    listed = before is not None and (
        before.kind in {"side", "target"} or (before.kind == "and" and _named(row[:j]))
    )
    return not listed and _paired(row[j], grammar)


def _named(row: Sequence[Item]) -> bool:
    """Its last part is a name that has no value yet ("biceps and")."""
    last = next((x for x in reversed(row) if x.kind in {"target", "grade", "value"}), None)
    return last is not None and last.kind == "target"


def _paired(item: Item, grammar: Grammar) -> bool:
    groups = {reading.group for reading in item.of_kind("site")}
    tests = {reading.test for reading in item.of_kind("test", "after_site")}
    return bool(groups & {"muscle", "reflex"}) or any(
        grammar.tests[test].side == "needed" for test in tests
    )


def spread_back(out: Sequence[Statement], side: str, closing: bool = False) -> None:
    """A side that closes a part of a list is that of the items before it that have none.

    Args:
        out: The items, in order.
        side: The side.
        closing: It stands by itself, so that it is of those too that need none.
    """
    for st in reversed(out):
        sided = st.side or any(target.side for target in st.targets)
        if sided or not (st.targets and st.has_value) or st.link in {"heading", "except"}:
            return
        st.list_side, st.list_closed = side, closing or st.list_closed
        if st.link == "but":
            return


def takes_side(out: Sequence[Statement], piece: Statement, follows: Statement | None) -> bool:
    """ "Normal C2 to C6, both sides, reduced at C7": a side between two commas, said of the first.

    Args:
        out: The statements before it.
        piece: A side alone.
        follows: What comes after it.
    """
    last = out[-1] if out else None
    if last is None or follows is None or piece.link != "comma" or follows.link == "but":
        return False
    if piece.unknown or piece.doubts or any(_sided(st) or st.link == "heading" for st in out):
        return False
    valued = bool(last.targets) and last.has_value
    if piece.side == "both":
        return valued and piece.side_placed
    placed = bool(last.targets and last.targets[-1].sites) and last.value_first
    return valued and placed and follows.value_first


def limb_closes(out: Sequence[Statement], piece: Statement, last: bool) -> str | None:
    """ "Five for hip flexion, five for knee extension, both legs": the side of a list of muscles.

    Args:
        out: The statements before it.
        piece: The limb.
        last: Nothing comes after it.

    Returns:
        The side, or None where it is another item.
    """
    if not (last and out and len(piece.targets) == 1 and piece.link == "comma"):
        return None
    target = piece.targets[0]
    more = piece.has_value or piece.unknown or piece.doubts or piece.repeat or piece.rest
    if more or not target.on_limb or target.tests or target.signs:
        return None
    if any(_sided(st) or not (st.has_value and st.targets) for st in out):
        return None
    named = [t for st in out for t in st.targets]
    if not all(t.sites and not (t.on_limb or t.tests) for t in named):
        return None
    plural = "both" if any(r.group == "limb" and r.plural for r in target.sites) else None
    return target.side or piece.side or plural


def _sided(st: Statement) -> bool:
    return st.side is not None or any(target.side for target in st.targets)
