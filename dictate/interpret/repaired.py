"""Speech repair in a row of items: where the words that announce a correction stand, and what of.

They may come before what is said instead ("I mean four plus"), after it ("four plus, I should
say"), between the two ("five, not four"), or speak of what was said ("extensor was too strong").
Here they are all brought into the first form; what is corrected is found by the resolver.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection

from dictate.interpret.grades import Grade
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: What a correction may put in place of something.
_PUT = frozenset({"value", "grade", "side", "target", "edge_site"})
_FRAGMENT = _PUT | {"glue", "place", "degree", "both_after", "detail"}
_PAUSE = frozenset({"comma", "stop"})
#: What may stand between what was said by mistake and what is right.
_LOOSE = frozenset({"glue", "comma", "but", "replace", "place"})
#: What may stand on both sides of a "not".
_PAIRED = frozenset({"side", "grade", "value"})


def repaired(row: list[Item]) -> list[Item]:
    """Bring the corrections of one sentence into one form.

    Args:
        row: The items of one sentence, as the lexicon gave them.
    """
    for here, after in itertools.pairwise(row):
        if here.kind == "swap" and after.kind == "unknown":
            here.kind, here.others = "glue", frozenset()  # "by the reverse method"
    row = _erased(row)
    for i, item in enumerate(row):
        alone = i == 0 and not any(x.kind == "target" for x in row)  # "Rather normal."
        if {"replace", "degree"} <= item.others and not _ends(row, i + 1) and not alone:
            item.kind = "degree"  # "rather slow"; but "the left foot rather"
    if not any(item.others & {"replace", "deny", "denied"} for item in row):
        return row
    return _not_that(_trailing(_of_what_was_said(_misnamed(_first_said(row)))))


def _misnamed(row: list[Item]) -> list[Item]:
    """ "I said left, I meant right", "it's on the right, I said left": what was said by mistake."""
    for i, item in enumerate(row):
        said = _said(row, i + 1, 1) if "misnamed" in item.others else None
        if said is None:
            continue
        kind, text = row[said].kind, row[said].text
        other = [j for j, x in enumerate(row) if x.kind == kind and x.text != text]
        if len(other) != 1:
            continue
        at = other[0]
        between = row[min(said, at) + 1 : max(i, at)]
        if any(x.kind not in _LOOSE and x is not item for x in between):
            return row
        if at < i:
            _blank(row, i, said + 1)
        else:
            _blank(row, said if item.kind == "whole_run" else i, at)
        return row if item.kind == "whole_run" else _announce(row, at)
    return row


def _erased(row: list[Item]) -> list[Item]:
    """ "Scratch the left biceps, it's two plus": what is named has the value after it."""
    at = next((i for i, item in enumerate(row) if "erases" in item.others), None)
    if at is None or not any(x.kind == "target" for x in row[at:]):
        return row
    named = False
    for i in range(at + 1, len(row)):
        named |= row[i].kind == "target"
        if row[i].kind in {"value", "grade"}:
            row[at].kind = "replace"
            gaps = {j for j in range(at, i) if row[j].kind == "comma"} if named else set()
            return [x for j, x in enumerate(row) if j not in gaps]
        if row[i].kind not in _FRAGMENT | {"comma"}:
            break
    return row


def _first_said(row: list[Item]) -> list[Item]:
    """ "Right deltoid, I'd call it four": a value for a name that has none corrects nothing."""
    for i, item in enumerate(row):
        if item.kind != "replace" or "wrong" in item.others:
            continue
        before = next((x for x in reversed(row[:i]) if x.kind not in {"glue", "comma"}), None)
        after = next((x for x in row[i + 1 :] if x.kind not in {"glue", "degree"}), None)
        open_ = before is not None and before.kind == "target" and not _says(before)
        if open_ and after is not None and after.kind in {"value", "grade"}:
            item.kind, item.others = "glue", item.others | {"mends"}
    return row


def _of_what_was_said(row: list[Item]) -> list[Item]:
    """ "Extensor is putting it too strongly, equivocal": what stands before is what was said."""
    for i, item in enumerate(row):
        if "wrong" not in item.others or item.kind != "replace":
            continue
        start = i
        while start and row[start - 1].kind in _FRAGMENT:
            start -= 1
        sides = [x for x in row[start:i] if x.kind == "side"]
        opens = start == 0 or row[start - 1].kind in _PAUSE
        kinds = {x.kind for x in row[start:i]}
        if opens and not (kinds & {"target"} and kinds & {"value", "grade"}):
            for x in row[start:i]:
                if x.kind in {"value", "grade"}:
                    x.kind, x.grade, x.readings, x.others = "glue", None, (), frozenset()
            if sides and not kinds & {"target"}:  # "the left one down a notch, four minus"
                rest = [x for x in row if not any(x is side for side in sides)]
                at = rest.index(item) + 1
                at += at < len(rest) and rest[at].kind == "comma"
                return [*rest[:at], *sides, *rest[at:]]
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
    if (at and row[at - 1].kind not in {"comma", "and"}) or (
        not at and any(x.kind == "target" for x in row) and start == cue
    ):
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
    """ "Five, not four", "not the left, the right": the one with "not" was said by mistake."""
    for i, item in enumerate(row):
        if item.kind in {"value", "denied"} and "denied" in item.others:
            if (mended := _not_there(row, i)) is not None:
                return mended
            continue
        if not _plain_not(item):
            continue
        second = _said(row, i + 1, 1)
        if second is None or not _ends(row, second + 1):
            continue
        before, after = _said(row, i - 1, -1), _said(row, _after_break(row, second + 1), 1)
        if _pair(row, before, second) and (_alone(row, before) or row[second].kind == "grade"):
            assert before is not None
            alone, wrong = _alone(row, before), row[second]
            said = (wrong.grade, wrong.readings)
            _blank(row, i, second + 1)
            row[i].instead_of = said
            return _announce(row, before, said) if alone else row
        opens = i == 0 or all(x.kind in _PAUSE | {"glue"} for x in row[:i])
        if opens and after is not None and _pair(row, after, second):
            said = (row[second].grade, row[second].readings)
            _blank(row, i, after)
            return _announce(row, after, said)
    return row


def _not_there(row: list[Item], i: int) -> list[Item] | None:
    """ "Absent, not present": the denied value is what was said by mistake."""
    before, after = _said(row, i - 1, -1), _said(row, _after_break(row, i + 1), 1)
    opens = all(x.kind in _PAUSE | {"glue"} for x in row[:i])
    if before is not None and row[before].kind == "value" and _alone(row, before):
        _blank(row, i, i + 1)
        return _announce(row, before)
    if (
        opens
        and after is not None
        and row[after].kind == "value"
        and row[after - 1].kind == "comma"
    ):
        _blank(row, i, after)
        return _announce(row, after)
    return None


def _plain_not(item: Item) -> bool:
    """ "Not"; "no" may deny a thing, and longer words of denial hold a verb."""
    return item.kind == "deny" and item.end - item.start == 1 and "replace" not in item.others


def _said(row: list[Item], i: int, step: int) -> int | None:
    """The next thing that is said, over words that join, and over one comma before a "not"."""
    commas = 0
    while 0 <= i < len(row):
        if row[i].kind in _PAIRED:
            return i
        commas += row[i].kind == "comma"
        if row[i].kind not in {"glue", "place", "comma"} or commas > (step < 0):
            return None
        i += step
    return None


def _after_break(row: list[Item], i: int) -> int:
    """Past one comma and a "but"."""
    while i < len(row) and row[i].kind in {"comma", "but", "glue", "replace"}:
        i += 1
    return i


def _ends(row: list[Item], i: int) -> bool:
    return i >= len(row) or row[i].kind in _PAUSE | {"but"}


def _pair(row: list[Item], a: int | None, b: int) -> bool:
    """Two of a kind that differ."""
    if a is None:
        return False
    return row[a].kind == row[b].kind and row[a].text != row[b].text


def _alone(row: list[Item], i: int | None) -> bool:
    """Nothing but joining words stands before it in its part of the sentence."""
    if i is None:
        return False
    at = i - 1
    while at >= 0 and row[at].kind in {"glue", "place", "whole_run"}:
        at -= 1
    return at < 0 or row[at].kind in _PAUSE


def _blank(row: list[Item], start: int, end: int) -> None:
    for item in row[start:end]:
        item.kind, item.readings, item.grade, item.others = "glue", (), None, frozenset()


def _announce(
    row: list[Item], i: int, wrong: tuple[Grade | None, tuple[Reading, ...]] | None = None
) -> list[Item]:
    """What is said instead comes after words that announce it."""
    start = row[i].start
    while i and row[i - 1].kind in {"glue", "place"}:
        i -= 1
        start = row[i].start
    return [*row[:i], Item("replace", start, start, text="not", instead_of=wrong), *row[i:]]


#: What a correction that stands alone may be made of.
_OWN = (
    _FRAGMENT
    | _PAUSE
    | {"talk", "deny", "denied", "but", "replace", "take_back", "swap", "whole_run", "and"}
)


def apart(row: list[Item], signs: Collection[str]) -> int | None:
    """Where a correction begins that follows a statement in one sentence.

    "Right deltoid four plus, not plus, minus", "..., all of that was the left": it is judged as if
    it were a sentence of its own.

    Args:
        row: One sentence's items as the lexicon gave them.
        signs: Words of the signs of grades.

    Returns:
        The index of the comma before it, or None.
    """
    kinds = {"swap", "whole_run"}
    if not any(x.others & kinds or _plain_not(x) or x.text in signs for x in row):
        return None
    for i, item in enumerate(row):
        if item.kind != "comma" or not _complete(row[:i]):
            continue
        rest = row[i + 1 :]
        own = all(x.kind in _OWN - {"target"} or x.text in signs or _limb(x) for x in rest)
        sign = [x for x in rest if x.text in signs and x.kind == "unknown"]
        speaks = any(x.others & kinds for x in rest)
        denied = any(_plain_not(x) for x in rest) and not any(_limb(x) for x in rest)
        if own and rest and (sign or speaks or (denied and _bare(rest))):
            return i
    return None


def _bare(row: list[Item]) -> bool:
    """Two things of one kind, and no more."""
    said = [x.kind for x in row if x.kind in _PAIRED]
    return len(said) == 2 and len(set(said)) == 1


def _limb(item: Item) -> bool:
    sites = item.of_kind("site")
    return item.kind == "target" and bool(sites) and all(r.group == "limb" for r in sites[:1])


def _complete(row: list[Item]) -> bool:
    """It names something and says what was found of it."""
    last = next((i for i in range(len(row) - 1, -1, -1) if row[i].kind == "target"), None)
    if last is None:
        return False
    return any(_says(x) or x.kind in {"value", "grade"} for x in row)


def _says(item: Item) -> bool:
    return bool(item.of_kind("sign")) or any(r.id for r in item.of_kind("test"))
