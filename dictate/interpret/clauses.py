"""A run-on sentence to its clauses, so that talk and statements in it are judged one by one.

People who speak to a patient make no full stops ("okay so squeeze my hands good your grip is five
now look up"). A sentence that speaks to somebody is cut where a new clause begins; a dictated
sentence, which speaks to nobody, stays whole however long it is.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.items import Item

#: Tokens from which on a sentence to somebody is taken for several clauses: one without a full
#: stop, one with a full stop, and a question.
LONG, LONG_WITH_STOP, LONG_QUESTION = 12, 25, 50


def clauses(row: Sequence[Item]) -> list[tuple[int, int]]:
    """Where the clauses of a sentence begin and end, as indices of its items.

    Args:
        row: One sentence's items as the lexicon gave them.
    """
    spoken_to = any(item.others & {"you", "own"} for item in row)
    if not row or row[-1].end - row[0].start < _long(row[-1]) or not spoken_to:
        return [(0, len(row))]
    cuts = [0]
    for i in range(1, len(row)):
        clause = row[cuts[-1] : i]
        if not any(_tells(item) for item in clause):
            continue
        if names_place(clause):
            cuts.extend(at for at in (_opens_place(row, cuts[-1], i), i) if at > cuts[-1])
        elif _begins(row, i) or _begins_exam(row, i):
            cuts.append(_with_join(row, i))
    ends = [*cuts[1:], len(row)]
    return [(a, b) for a, b in zip(cuts, ends, strict=True) if b > a]


def _long(last: Item) -> int:
    if last.text == "?":
        return LONG_QUESTION
    return LONG_WITH_STOP if last.kind == "stop" else LONG


def _begins(row: Sequence[Item], i: int) -> bool:
    """A new clause begins here: "now", "you have", "your gait", "look up"."""
    item, before = row[i], row[i - 1]
    if "clause" in item.others and item.kind not in {"target", "value", "side"}:
        return not before.others & {"clause"}
    if "you" in item.others:
        leads = before.kind in {"place", "edge", "side"} or before.others & {"place", "ask", "edge"}
        told = any("instruct" in earlier.others for earlier in row[max(0, i - 3) : i])
        return not (leads or "instruct" in before.others or (told and before.kind == "unknown"))
    return bool(item.others & {"instruct", "ask"}) and item.kind in {"talk", "glue"}


def names_place(row: Sequence[Item]) -> bool:
    """ "On the exam of your left arm": where the examination is now, up to its last word.

    Args:
        row: The clause as far as it goes.
    """
    if len(row) < 4 or row[-1].kind != "target" or row[-2].kind != "side":
        return False
    exams = [i for i, item in enumerate(row) if "exam" in item.others]
    if not exams or not row[-1].of_kind("site"):
        return False
    between = row[exams[-1] + 1 : -2]
    return any(x.kind == "place" for x in between) and all(
        x.kind in {"place", "glue"} for x in between
    )


def _opens_place(row: Sequence[Item], start: int, end: int) -> int:
    """Where the words that name a place begin ("... five and | on the exam of your left arm")."""
    at = max(i for i in range(start, end) if "exam" in row[i].others)
    while at > start and row[at - 1].kind in {"glue", "place"} and "clause" not in row[at].others:
        at -= 1
    return _with_join(row, at) if any(_tells(item) for item in row[start:at]) else start


def _begins_exam(row: Sequence[Item], i: int) -> bool:
    """ "Look here the fundus exam shows ...": what an examination shows is a clause of its own."""
    if "exam_opens" not in row[i].others or row[i - 1].kind in {"place", "edge", "side"}:
        return False
    return any("exam" in item.others or item.of_kind("test") for item in row[i + 1 : i + 3])


def _tells(item: Item) -> bool:
    """More than a joining word: a clause of fillers alone goes with what follows it."""
    return item.kind not in {"glue", "and", "comma", "but"} or "you" in item.others


def _with_join(row: Sequence[Item], i: int) -> int:
    """A joining word before the cut goes with the new clause."""
    while i > 1 and row[i - 1].kind in {"and", "but"}:
        i -= 1
    return i
