"""Pauses that nobody wrote: a row of spoken words gets a comma where a statement ends.

A typist makes commas and a recogniser does not. Where a word can only belong to what follows it
("otherwise", "same on the left"), or a place was said before anything else ("in the left hand light
touch reduced, pinprick absent"), the pause is certain, and the rest of the reader need not know
whether it was written.
"""

from __future__ import annotations

from dictate.interpret.items import Item
from dictate.interpret.pairs import closed
from dictate.interpret.qualifiers import to_break
from dictate.interpret.runs import BREAKS, VALUED

#: Kinds that say something of a target.
SAID = VALUED | {"deny", "denied"}
#: The longest stretch of items in which a statement is looked for.
LONGEST = 40
_IDLE = {"glue", "degree", "place"}


def pauses(row: list[Item]) -> list[Item]:
    """The row with a comma at each certain pause that has no sign of its own.

    Args:
        row: The items of one sentence.
    """
    at = {
        *_leading_places(row),
        *_place_by_place(row),
        *closed(row),
        *(_before(row, i) for i in range(len(row))),
    }
    out: list[Item] = []
    for i, item in enumerate(row):
        if i in at and out and out[-1].kind not in BREAKS and item.kind not in BREAKS:
            out.append(Item("comma", item.start, item.start, text=","))
        out.append(item)
    return out


def _before(row: list[Item], i: int) -> int | None:
    """Where the pause before an item is, if the item opens a new statement; None if it does not."""
    if _of_the_rest(row, i):
        opens = i
    elif row[i].kind == "repeat":
        named = _own_name(row, i)
        opens = _with_side(row, i) if named is None else named
    elif (_denies_more(row, i) and not _of_reason(row, i)) or _strange_with_value(row, i):
        opens = i
    elif (
        _muscle_of_limb(row, i)
        or _after_strange(row, i)
        or _degree_of_side(row, i)
        or _test_after_list(row, i)
    ):
        return i
    elif _test_after_sign(row, i):
        opens = i - (row[i - 1].kind == "side")
    else:
        return None
    while opens and row[opens - 1].kind == "glue" and not row[opens - 1].others & {"place"}:
        opens -= 1
    return opens if _complete(row, opens) else None


def _of_the_rest(row: list[Item], i: int) -> bool:
    """ "Otherwise normal", "normal elsewhere": what was found of the rest."""
    if row[i].kind == "rest":
        return any(x.kind in SAID for x in to_break(row, i + 1, BREAKS))
    following = next((x.kind for x in row[i + 1 : i + LONGEST] if x.kind not in _IDLE), "")
    if row[i].kind not in {"value", "grade"} or following != "rest":
        return False
    after = [x.kind for x in to_break(row, i + 1, BREAKS) if x.kind not in _IDLE]
    return after == ["rest"]


def _with_side(row: list[Item], i: int) -> int:
    """ "... five left is the same": a side that follows the value goes with the repetition."""
    j = i - 1
    while j >= 0 and row[j].kind == "glue":
        j -= 1
    if j <= 0 or row[j].kind != "side" or row[j - 1].kind not in SAID:
        return i
    return j


def _own_name(row: list[Item], i: int) -> int | None:
    """ "... five left | triceps the same": the name of which it is said goes with it."""
    j = i - 1
    while j >= 0 and row[j].kind == "glue" and "place" not in row[j].others:
        j -= 1
    if j <= 0 or row[j].kind != "target":
        return None
    if row[j].of_kind("after_site") and row[j - 1].kind == "target":
        j -= 1  # "ankle jerks"
    test = bool(row[j].of_kind("test", "after_site")) and not row[j].of_kind("site")
    groups = {reading.group for reading in row[j].of_kind("site")}
    if not test and ("limb" in groups or not groups & {"muscle", "reflex"}):
        return None  # "left arm the same": the run again, on the other side
    if row[j - 1].kind == "side" and j not in set(closed(row)):
        j -= 1
    before = row[j - 1] if j else None
    led = before is None or before.kind in {"place", "edge"} or "place" in before.others
    if led or (before is not None and before.kind == "target" and not test):
        return None
    return j if any(x.kind in SAID for x in _since_break(row, j, BREAKS - {"and"})) else None


def _denies_more(row: list[Item], i: int) -> bool:
    """A denial of a place, or of another name."""
    return row[i].kind == "deny" and (_denies_side(row, i) or _denies_name(row, i))


def _of_reason(row: list[Item], i: int) -> bool:
    """ "Deferred because the water is not cold": the verb of the reason, and no denial of ours."""
    since = _since_break(row, i, BREAKS)
    return "verbal" in row[i].others and any(x.kind == "reason" for x in since[:-1])


def _denies_side(row: list[Item], i: int) -> bool:
    """ "Drift on the right not on the left", "reduced in the hand not really in the foot": a place
    is denied, and what was said of the one before it stands."""
    j = i + 1
    while j < len(row) and row[j].kind in {"glue", "degree"} and "place" not in row[j].others:
        j += 1
    if j >= len(row) or not ("place" in row[j].others or row[j].kind == "edge"):
        return False
    while j < len(row) and row[j].kind in {"glue", "place", "edge"}:
        j += 1
    sided = j < len(row) and row[j].kind == "side"
    j += sided
    if j < len(row) and row[j].kind == "target":
        return bool(row[j].of_kind("site")) and not row[j].of_kind("test", "sign")
    return sided and (j == len(row) or row[j].kind in BREAKS)


def _denies_name(row: list[Item], i: int) -> bool:
    """ "Rest tremor in the right hand no postural tremor": a name is denied."""
    passed = {"glue", "degree", "quality", "detail"}
    after = next((x for x in row[i + 1 :] if x.kind not in passed), None)
    if after is None or after.kind != "target":
        return False
    return bool(after.of_kind("test", "sign")) or any(r.test for r in after.of_kind("site"))


def _degree_of_side(row: list[Item], i: int) -> bool:
    """ "No ptosis on the right mild on the left": how much there is on the other side."""
    if row[i].kind != "degree" or i < 2 or row[i - 1].kind != "side":
        return False
    denied = any(x.kind == "deny" for x in _since_break(row, i, BREAKS))
    after = [x for x in to_break(row, i, BREAKS) if x.kind not in _IDLE]
    return denied and [x.kind for x in after] == ["side"] and after[0].text != row[i - 1].text


def _strange_with_value(row: list[Item], i: int) -> bool:
    """ "Hearing reduced on the right Foo positive on both sides": a value and a side of its own."""
    if row[i].kind != "unknown" or not i or row[i - 1].kind != "side":
        return False
    return [x.kind for x in to_break(row, i) if x.kind not in _IDLE] == ["unknown", "value", "side"]


def _after_strange(row: list[Item], i: int) -> bool:
    """ "Foo three plantarflexion five": a grade after a word that nobody knows is of that word,
    where what follows has a value of its own."""
    if row[i].kind != "target" or i < 2:
        return False
    if row[i - 1].kind == "side":
        return _ends_list(row, i)
    if row[i - 1].kind != "grade":
        return False
    own = (x.kind in {"value", "grade"} for x in to_break(row, i + 1, {"comma", "stop", "but"}))
    return row[i - 2].kind == "unknown" and any(own)


def _ends_list(row: list[Item], i: int) -> bool:
    """ "Reduced in the feet and foo on the right | vibration absent": a side that follows."""
    led = [k for k in range(max(0, i - LONGEST), i - 1) if "place" in row[k].others]
    j = led[-1] if led else 0
    named = j > 1 and row[j - 1].kind == "unknown" and row[j - 2].kind == "and"
    return named and all(x.kind == "glue" for x in row[j + 1 : i - 1])


def _muscle_of_limb(row: list[Item], i: int) -> bool:
    """ "Right leg strength hip flexion four": a muscle right after its limb is the first of it."""
    if row[i].kind != "target" or not i or row[i - 1].kind != "target":
        return False
    if not any(r.group == "muscle" for r in row[i].of_kind("site")) or _is_where(row[i]):
        return False
    chunk = _since_break(row, i, BREAKS)
    limb = any(r.group == "limb" for x in chunk if x.kind == "target" for r in x.of_kind("site"))
    return limb and not any(x.kind in SAID for x in chunk)


def _test_after_sign(row: list[Item], i: int) -> bool:
    """ "Left drift gait normal": what was found of the second name is no value of the first."""
    plain = row[i].of_kind("test") and not _is_sign(row[i]) and not row[i].of_kind("site", "sign")
    if row[i].kind != "target" or not plain or row[i - 1].kind in {"place", "edge"}:
        return False
    follows = next((x for x in row[i + 1 :] if x.kind not in _IDLE), None)
    if follows is None or follows.kind not in VALUED:
        return False
    chunk = _since_break(row, i, BREAKS)
    return any(_is_sign(x) for x in chunk) and not any(x.kind in SAID - {"deny"} for x in chunk)


def _test_after_list(row: list[Item], i: int) -> bool:
    """ "Intact to light touch and pin | vibration reduced": a name right after the last of a list
    that has its value already, with a value of its own."""
    if i < 2 or not (_is_test(row[i]) and _is_test(row[i - 1])) or row[i - 2].kind != "and":
        return False
    led = False
    for x in reversed(_since_break(row, i - 2, BREAKS - {"and"})):
        if x.kind in {"value", "grade"}:
            break
        led = led or x.kind in {"edge", "place"} or "place" in x.others
        if x.kind not in {"target", "glue", "edge", "place", "and"}:
            return False
    else:
        return False
    after = next((x.kind for x in row[i + 1 :] if x.kind not in _IDLE), "")
    return led and after in VALUED


def _is_test(item: Item) -> bool:
    return item.kind == "target" and bool(item.of_kind("test")) and not item.of_kind("site", "sign")


def _since_break(row: list[Item], end: int, breaks: set[str]) -> list[Item]:
    """The items before ``end``, back to the last break or as far as a statement goes."""
    start = end
    while start and end - start < LONGEST and row[start - 1].kind not in breaks:
        start -= 1
    return row[start:end]


def _complete(row: list[Item], end: int) -> bool:
    """Something was said of something, since the last break before ``end``."""
    chunk = _since_break(row, end, BREAKS - {"and"})
    signs = any(item.of_kind("sign") or _is_sign(item) for item in chunk)
    return signs or _placed(chunk) or any(item.kind in SAID for item in chunk)


def _placed(chunk: list[Item]) -> bool:
    """ "Grasp reflex on the right": a test, and where, as one says of what is there."""
    named = next((k for k, x in enumerate(chunk) if x.of_kind("test", "site")), len(chunk))
    led = [k for k, x in enumerate(chunk) if k > named and "place" in x.others]
    return bool(led) and any(x.kind == "side" for x in chunk[led[0] :])


def _is_sign(item: Item) -> bool:
    """A name that says by itself that something is there ("ptosis", "drift")."""
    return any(reading.id for reading in item.of_kind("test"))


def _leading_places(row: list[Item]) -> set[int]:
    """Where what was found begins, after a side or a limb that was said first of all of it.

    A speaker who says the side first does so again ("on the right grip four on the left grip
    five"), so there is a pause before and after the next one too.
    """
    start = next((k for k, x in enumerate(row) if x.kind != "glue" or "place" in x.others), 0)
    first = _place_ends(row, start)
    if first is None or not _says_several(row, first):
        return set()
    at = {first}
    for i in range(first + 1, len(row)):
        if "place" in row[i].others and row[i - 1].kind in {"value", "grade"}:
            end = _place_ends(row, i)
            at |= set() if end is None else {i, end}
    return at


def _place_by_place(row: list[Item]) -> set[int]:
    """ "Tone in the arms normal | in the legs increased": each place with its value after it."""
    first = next((k for k, x in enumerate(row) if x.kind == "target"), len(row))
    if first + 1 >= len(row) or row[first].of_kind("site", "sign"):
        return set()
    at: list[int] = []
    i = first + 1
    while i < len(row) and "place" in row[i].others:
        j = i
        while j < len(row) and row[j].kind in {"glue", "place", "side"}:
            j += 1
        if j >= len(row) or row[j].kind != "target" or not _is_where(row[j]):
            break
        j += 1
        while j < len(row) and row[j].kind in _IDLE and "place" not in row[j].others:
            j += 1
        if j >= len(row) or row[j].kind not in {"value", "grade"}:
            return set()
        at.append(i)
        i = k = j + 1
        while k < len(row) and row[k].kind in {"glue", "place"}:
            k += 1
        if k < len(row) and row[k].kind == "side" and _next_of(row, k + 1) != "target":
            i = k + 1  # "... increased on the left"
    ends = i >= len(row) or row[i].kind == "stop"
    return set(at[1:]) if ends else set()


def _next_of(row: list[Item], i: int) -> str:
    return row[i].kind if i < len(row) else ""


def _place_ends(row: list[Item], i: int) -> int | None:
    """Where the place that begins at ``i`` ends, if what follows it is examined there."""
    if i >= len(row) or "place" not in row[i].others:
        return None
    while i < len(row) and row[i].kind in {"glue", "place"}:
        i += 1
    if i >= len(row) or row[i].kind not in {"side", "target"}:
        return None
    i += row[i].kind == "side"
    if i < len(row) and row[i].kind == "target" and _is_where(row[i]):
        i += 1
    elif row[i - 1].kind != "side":
        return None
    first = next((k for k in range(i, len(row)) if row[k].kind not in _IDLE), len(row))
    named = first < len(row) and row[first].kind == "target" and not _is_where(row[first])
    return i if named else None


def _is_where(item: Item) -> bool:
    """A part of the body, no muscle and no test."""
    sites = item.of_kind("site")
    parts = any(site.group in {"limb", "region", "dermatome"} for site in sites)
    return parts and not item.of_kind("test", "after_site", "sign")


def _says_several(row: list[Item], first: int) -> bool:
    """Two names at least, each with what was said of it."""
    names = said = 0
    waiting = led = placed = False
    for item in row[first:]:
        if item.kind in {"stop", "colon"}:
            break
        if item.kind != "glue" or "place" in item.others:
            led, placed = placed, "place" in item.others
        if item.kind == "target" and not led:
            waiting = True
            names += 1
        elif item.kind in SAID and waiting:
            waiting = False
            said += 1
    return names > 1 and said > 1
