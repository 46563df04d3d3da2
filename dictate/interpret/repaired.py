"""Speech repair in a row of items: where the words that announce a correction stand, and what of.

They may come before what is said instead ("I mean four plus"), after it ("four plus, I should
say"), between the two ("five, not four"), or speak of what was said ("extensor was too strong").
Here they are all brought into the first form; what is corrected is found by the resolver.
"""

from __future__ import annotations

from dictate.interpret.items import Item

#: What a correction may put in place of something.
_PUT = frozenset({"value", "grade", "side", "target", "edge_site"})
_FRAGMENT = _PUT | {"glue", "place", "degree", "both_after", "detail"}
_PAUSE = frozenset({"comma", "stop"})


def repaired(row: list[Item]) -> list[Item]:
    """Bring the corrections of one sentence into one form.

    Args:
        row: The items of one sentence, as the lexicon gave them.
    """
    if not any(item.others & {"replace", "deny"} for item in row):
        return row
    return _not_that(_trailing(_of_what_was_said(_first_said(row))))


def _first_said(row: list[Item]) -> list[Item]:
    """ "Right deltoid, I'd call it four": a value for a name that has none corrects nothing."""
    for i, item in enumerate(row):
        if item.kind != "replace" or "wrong" in item.others or not _framed(item):
            continue
        before = next((x for x in reversed(row[:i]) if x.kind not in {"glue", "comma"}), None)
        after = next((x for x in row[i + 1 :] if x.kind not in {"glue", "degree"}), None)
        open_ = before is not None and before.kind == "target" and not _says(before)
        if open_ and after is not None and after.kind in {"value", "grade"}:
            item.kind = "glue"
    return row


def _of_what_was_said(row: list[Item]) -> list[Item]:
    """ "Extensor is putting it too strongly, equivocal": what stands before is what was said."""
    for i, item in enumerate(row):
        if "wrong" not in item.others or item.kind != "replace":
            continue
        start = i
        while start and row[start - 1].kind in _FRAGMENT:
            start -= 1
        opens = start == 0 or row[start - 1].kind in _PAUSE
        kinds = {x.kind for x in row[start:i]}
        if opens and not (kinds & {"target"} and kinds & {"value", "grade"}):
            for x in row[start:i]:
                if x.kind in {"value", "grade", "side"}:
                    x.kind, x.grade, x.readings, x.others = "glue", None, (), frozenset()
    return row


def _trailing(row: list[Item]) -> list[Item]:
    """ "..., four plus I should say", "the left foot rather": announced after it was said."""
    end = len(row)
    while end and row[end - 1].kind in _PAUSE:
        end -= 1
    cue = end - 1
    if cue < 1 or row[cue].kind != "replace" or "wrong" in row[cue].others:
        return row
    start = cue
    if row[start - 1].kind == "comma":
        start -= 1
    at = start
    while at and row[at - 1].kind in _FRAGMENT:
        at -= 1
    if at and row[at - 1].kind not in {"comma", "and"}:
        at = _last_value(row, at, start)
    elif not at and any(x.kind == "target" for x in row) and start == cue:
        at = _last_value(row, at, start)
    said = row[at:start]
    if not any(x.kind in _PUT for x in said):
        return row
    return [*row[:at], row[cue], *said, *row[cue + 1 :]]


def _last_value(row: list[Item], at: int, end: int) -> int:
    """Without a comma before it, the value alone is what was said instead."""
    valued = [i for i in range(at, end) if row[i].kind in {"value", "grade"}]
    return valued[-1] if len(valued) > 1 else end


def _not_that(row: list[Item]) -> list[Item]:
    """ "Five, not four", "the left, not the right": the second is what was said by mistake."""
    for i, item in enumerate(row):
        plain = item.kind == "deny" and item.end - item.start == 1 and "replace" not in item.others
        if not plain or i == 0:
            continue
        first = next((x for x in reversed(row[:i]) if x.kind not in {"glue", "comma"}), None)
        rest = [j for j in range(i + 1, len(row)) if row[j].kind not in {"glue", "place"}]
        if first is None or not rest:
            continue
        second = row[rest[0]]
        ends = len(rest) < 2 or row[rest[1]].kind in _PAUSE
        same = first.kind == second.kind and first.kind in {"side", "grade"}
        alone = not any(x.kind in {"target", "value"} for x in row[:i])
        same = same and (alone or first.kind == "grade")  # "drift on the right, not on the left"
        if same and ends and first.text != second.text:
            for j in range(i, rest[0] + 1):
                row[j].kind, row[j].readings, row[j].grade = "glue", (), None
                row[j].others = frozenset()
            if alone:
                row.insert(0, Item("replace", row[0].start, row[0].start, text="not"))
    return row


def _framed(item: Item) -> bool:
    return any(reading.id == "frame" for reading in item.readings)


def _says(item: Item) -> bool:
    return bool(item.of_kind("sign")) or any(r.id for r in item.of_kind("test"))
