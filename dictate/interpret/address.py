"""Who speaks to whom: a statement of the examination, or talk around it.

Judged by sentence: how it opens, who is spoken of, and whether it is somebody's account. Talk
gives no finding; where a complete graded statement follows an instruction without a pause, only
the part after the last word to the patient is read on.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from dictate.interpret.accounts import STRANGE
from dictate.interpret.items import Item
from dictate.interpret.tokens import norms
from dictate.model import UtteranceKind

_SKIP = {"glue", "comma", "rest"}


def address_of(
    row: Sequence[Item], lay: Collection[tuple[str, ...]] = ()
) -> tuple[UtteranceKind | None, int]:
    """What a sentence is, if it is talk, and where the talk ends.

    Args:
        row: The sentence's items as the lexicon gave them.
        lay: Names of tests and places that anybody uses, folded.

    Returns:
        The kind of talk, or None for what may be a statement; and the index of the first item
        after the talk (the end of the row where nothing follows it).
    """
    start = _opening(row)
    body = row[start:]
    if not body:
        return None, len(row)
    if _only_replies(row):
        return "by_patient", len(row)
    if _asks(body):
        return "to_patient", len(row)
    told = _without_reason(body)
    if _has(told, "elsewhere") or _has(told, "reported") or _has(body, "account"):
        return "remark", len(row)
    if body[0].others & {"ask"}:
        return "to_patient", _after_talk(row, start, lay)
    if body[0].others & {"instruct"} and not _is_name(body):
        return "to_patient", _after_talk(row, start, lay)
    if any(_own(body, i) for i in range(len(body))) or _speaks_for_self(body, lay):
        return "by_patient", len(row)
    if _is_account(body, lay):
        return "remark", len(row)
    return None, 0


def _own(body: Sequence[Item], i: int) -> bool:
    """The first person speaks of itself; "on my chair" only says where somebody is."""
    if "own" not in body[i].others:
        return False
    after = [item for item in body[i + 1 :] if item.kind not in {"side", "degree", "quality"}]
    thing = bool(after) and after[0].kind in {"target", "value"}
    return thing or not i or body[i - 1].kind != "place"


def _is_account(body: Sequence[Item], lay: Collection[tuple[str, ...]]) -> bool:
    """ "No tingling, no weakness": a list with a complaint, and no grade in it.

    One that opens with a sign in a word of the trade ("no drift, rash or tremor") is no account.
    """
    if not _has(body, "symptom") or any(item.kind == "grade" for item in body):
        return False
    first = next((item for item in body if item.kind not in _SKIP | {"degree"}), None)
    if first is not None and first.kind == "deny" and "tells" not in first.others:
        named = next(x for x in body if x.kind in {"target", "unknown"} or "symptom" in x.others)
        if named.of_kind("test", "sign") and norms(named.text) not in lay:
            return False
    return any(item.kind == "deny" or "you" in item.others for item in body)


def _complete(
    row: Sequence[Item], start: int, lay: Collection[tuple[str, ...]], graded: bool = False
) -> int | None:
    """Where a target with its value begins after the talk ("... my fingers, grip five").

    Args:
        row: The sentence's items.
        start: Where the talk may end.
        lay: Names that anybody uses.
        graded: No value but a grade is looked for.
    """
    first = start
    for i in range(start, len(row)):
        if row[i].kind not in {"value", "grade"} or (graded and row[i].kind == "value"):
            continue
        for j in range(i - 1, first - 1, -1):
            named = row[j].of_kind("test", "after_site")
            muscle = row[i].kind == "grade" and _is_muscle(row[j])
            if row[j].kind != "target" or not (named or muscle) or _ordered(row, j, i):
                continue
            if row[i].kind == "value" and first > start and norms(row[j].text) in lay:
                continue  # after an order's own value only a name of the trade is sure
            side = j > start and row[j - 1].kind == "side"
            return j - 1 if side else j
        first = i + 1  # "push down, hip flexion five": the first value was an order's
    return None


def _ordered(row: Sequence[Item], j: int, i: int) -> bool:
    """ "Pull your toes up": what the patient is told to move, and where to."""
    k = j - 1
    while k >= 0 and row[k].kind == "glue" and row[k].text.isalpha():
        if row[k].others & {"you", "own", "instruct", "filler"}:
            break
        k -= 1
    theirs = k > 0 and bool(row[k].others & {"you", "own"})
    told = k >= 0 and "instruct" in row[k - theirs].others
    return told and row[i].kind == "value" and all(x.kind == "glue" for x in row[j + 1 : i])


def _absent(row: Sequence[Item], start: int) -> int | None:
    """Where "hold your arms out, no drift" tells what was seen: after a comma, to the end."""
    for i in range(max(start, 1), len(row)):
        if row[i].kind != "deny" or row[i - 1].kind != "comma":
            continue
        said = [item for item in row[i + 1 :] if item.kind not in {"glue", "degree", "stop"}]
        named = bool(said) and bool(said[0].of_kind("test", "sign"))
        if named and all(item.kind in {"place", "side"} for item in said[1:]):
            return i
    return None


def _is_muscle(item: Item) -> bool:
    """A muscle or a reflex; a limb ("both hands or one") is what anybody talks of."""
    groups = {reading.group for reading in item.of_kind("site")}
    return item.kind == "target" and "limb" not in groups


def _opening(row: Sequence[Item]) -> int:
    """Skip fillers ("okay, right, now"); a side word is one only before an instruction."""
    i = 0
    while i < len(row) and (row[i].others & {"opening", "filler"} or row[i].kind in {"comma"}):
        i += 1
    if i < len(row) and i > 0:
        body = row[i]
        if body.others & {"instruct", "ask"} or not any(x.kind == "side" for x in row[:i]):
            return i
        return next(j for j, x in enumerate(row) if x.kind == "side")
    return 0 if i >= len(row) else i


def _only_replies(row: Sequence[Item]) -> bool:
    """A reply word by itself ("Left."); more than one sentence of them is judged alike."""
    said = [item for item in row if item.kind not in {"comma", "stop", "and"}]
    if not said or any(item.kind in {"grade", "unknown"} for item in said):
        return False
    if any("reply" not in item.others and not item.others & {"filler"} for item in said):
        return False
    if said[0].kind == "replace" and [item.kind for item in said[1:3]] == ["side", "value"]:
        return False  # "no, left down, right up": a correction
    return any("reply" in item.others for item in said) and not any(i.placed for i in said)


def _speaks_for_self(body: Sequence[Item], lay: Collection[tuple[str, ...]]) -> bool:
    """It opens like a reply ("I feel it on the left") and names nothing first.

    "I get a four in the right deltoid" is the examiner's: a grade of a thing of the trade.
    """
    graded = any(item.kind == "grade" for item in body)
    trade = any(item.kind == "target" and norms(item.text) not in lay for item in body)
    return "reply" in body[0].others and body[0].kind in {"glue", "talk"} and not (graded and trade)


def _without_reason(body: Sequence[Item]) -> Sequence[Item]:
    """ "Not tested because of the recent surgery": the reason may lie in what was before."""
    undone = next((i for i, x in enumerate(body) if x.kind in {"not_tested", "unable"}), len(body))
    for i in range(undone, len(body)):
        if "reason" in body[i].others:
            return body[:i]
    return body


def _has(row: Sequence[Item], kind: str) -> bool:
    return any(kind in item.others for item in row)


def is_question(row: Sequence[Item]) -> bool:
    """It asks the patient something, by its end or by how it opens.

    Args:
        row: A sentence to the patient.
    """
    body = row[_opening(row) :]
    return bool(body) and (row[-1].text == "?" or "ask" in body[0].others)


def _asks(body: Sequence[Item]) -> bool:
    """A question mark at the end, unless it doubts a statement ("left ptosis?", "deltoid 4/5?")."""
    if body[-1].text != "?":
        return len(body) > 2 and "tag" in body[-1].others and body[-1].others <= STRANGE
    if _has(body, "you"):
        return True
    graded = any(item.kind == "grade" for item in body)
    sided = any(item.kind == "side" for item in body)
    named = any(item.of_kind("test", "sign", "after_site") for item in body)
    valued = any(item.kind == "value" for item in body)
    tagged = len(body) > 2 and "tag" in body[-2].others and body[-3].kind in {"comma", "glue"}
    return not (graded or (named and (sided or valued) and not tagged))


def _is_name(body: Sequence[Item]) -> bool:
    """The opening word is the name of a test or site here ("grip five"), not said alone."""
    said = [item for item in body if item.kind not in {"stop", "comma", "glue"}]
    return len(said) > 1 and body[0].kind in {"target", "value"} and not _has(body, "you")


def _after_talk(row: Sequence[Item], start: int, lay: Collection[tuple[str, ...]]) -> int:
    """Where a graded statement begins after the last word to the patient, if one does."""
    if row[-1].text == "?":
        return len(row)
    last = spoken = start
    for i, item in enumerate(row):
        if item.others & {"you", "own", "instruct", "ask"}:
            last = spoken = i
        elif item.kind == "unknown":
            last = i
    rest = row[last + 1 :]
    nearest = _complete(row, last + 1, lay)
    early = _complete(row, spoken + 1, lay, graded=True)
    if early is not None and (nearest is None or early < nearest):
        nearest = early  # words that nobody knows among what is said after it make it doubtful
    if nearest is None:
        nearest = _absent(row, last + 1)
    if nearest is not None:
        return nearest
    grades = [item for item in rest if item.kind == "grade" and item.grade is not None]
    graded = any(item.grade.of or item.grade.sign for item in grades if item.grade)
    if graded and any(item.kind == "target" for item in rest):
        return next(i for i in range(last + 1, len(row)) if row[i].kind in {"target", "side"})
    return len(row)
