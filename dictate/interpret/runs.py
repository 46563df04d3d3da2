"""A sentence to chunks at its breaks, and chunks to runs where one statement ends.

An unpunctuated stretch holds several statements ("right biceps two plus left deltoid four"); the
rules here say where the next one begins.
"""

from __future__ import annotations

from dictate.interpret.items import Item

BREAKS = {"comma", "and", "but", "except", "colon", "stop", "replace", "take_back"}
QUIET = {"glue", "place", "degree", "quality", "edge", "rest", "pseudo", "reason", "repeat"}
#: Kinds that alone say what was found, or that it was not looked for.
VALUED = {"value", "grade", "not_tested", "unable"}
CONTENT = {
    "target",
    "edge_site",
    "value",
    "grade",
    "side",
    "deny",
    "denied",
    "not_tested",
    "unable",
}


def cut_chunks(row: list[Item]) -> list[tuple[str, list[Item]]]:
    """Cut at breaks; the strongest break before a chunk is its link."""
    rank = {
        "comma": 0,
        "and": 1,
        "or": 1,
        "stop": 2,
        "colon": 2,
        "but": 3,
        "replace": 4,
        "take_back": 5,
        "except": 5,
    }
    chunks: list[tuple[str, list[Item]]] = []
    link, chunk = "start", []
    for item in row:
        if item.kind not in BREAKS or (item.kind == "and" and item.others & {"take"}):
            chunk.append(item)
            continue
        if chunk:
            chunks.append((link, chunk))
            link, chunk = item.kind, []
        elif link == "start" or rank[item.kind] > rank.get(link, -1):
            link = item.kind
        if "either" in item.others:
            link = "or"
        if item.kind == "colon" and chunks and not any(c for c in chunk):
            chunks[-1] = (chunks[-1][0], [*chunks[-1][1], item])
    if chunk:
        chunks.append((link, chunk))
    return chunks


def cut_runs(chunk: list[Item], goes_on: bool = False) -> list[list[Item]]:
    """Cut a chunk without punctuation where one statement ends and the next begins."""
    last = next(
        (
            item.kind
            for item in reversed(chunk)
            if item.kind in {"side", "target", "edge_site", *VALUED}
        ),
        "",
    )
    kinds = [item.kind for item in chunk if item.kind in {"target", *VALUED}]
    bare = [
        item.kind
        for item in chunk
        if item.kind in VALUED or (item.kind == "target" and not item.placed)
    ]
    value_first = bool(kinds) and kinds[0] != "target" and kinds[-1] == "target"
    heading_first = len(bare) > 3 and bare[0] == "target" == bare[-1] and bare[1] != "target"
    heading_first = heading_first and _names_a_group(chunk)
    ends = last == "side" or _ends_with_site(chunk) or _ends_with_word(chunk)
    trailing = ends and _side_ends_a_pair(chunk)
    leading = next((x.kind for x in chunk if x.kind in CONTENT), "") == "side"
    odd_value = len(bare) > 2 and bare[0] != "target" and bare[-1] != "target" and goes_on
    odd_value = odd_value and chunk[0].kind != "doubt"
    runs: list[list[Item]] = []
    run: list[Item] = []
    seen_target = seen_value = False
    for i, item in enumerate(chunk):
        starts = False
        had = seen_target or (bool(runs) and not value_first) or odd_value
        if item.kind in {"target", "deny"} and seen_value and had:
            placed = item.placed and item.kind == "target"
            starts = not placed and not ((value_first or heading_first) and item.kind == "target")
            starts = starts and not _site_of_sign(run, item) and _stands_alone(chunk, i, run)
            starts = starts and (trailing or not _completes(run, item))
            starts = starts and not (trailing and _site_of_side(chunk[:i], item))
            if item.kind == "deny" and denies_value(chunk, i):
                starts = False
        elif _is_part(chunk, i):
            starts = False
        elif item.kind in {"value", "grade"} and seen_value and seen_target:
            starts = not _beside_value(run) and not _confirms_denial(run, item)
            starts = starts and not (item.kind == "grade" and _only_signs(run))
        elif item.kind == "value" and seen_target and _contrasts(chunk, i, run):
            starts = True
        elif item.kind == "side" and seen_value and leading and item.placed:
            starts = _next_kind(chunk, i) == "target" and not _placed_next(chunk, i)
        elif item.kind == "side" and seen_value and not item.placed and not trailing:
            starts = _opens_next(chunk, i, run) and not _leads_target(chunk, i, run)
        if starts and all(x.kind == "deny" for x in run if x.kind in CONTENT):
            starts = False  # a negation has not met its target yet
        if (
            starts
            and item.kind in {"value", "grade"}
            and (_denied_of(chunk, i, run) or _denied_thing(chunk, i, run))
        ):
            starts = False
        if starts and _of_its_sign(chunk, i, run):
            starts = False
        if item.kind == "deny" and seen_value and seen_target and _denies_nothing(chunk, i):
            starts = True
        if starts:
            cut = _back_to_side(run, trailing) if item.kind == "target" else len(run)
            while cut and cut == len(run) and run[cut - 1].kind == "deny":
                cut -= 1
            runs.append(run[:cut])
            run = run[cut:]
            seen_target = False
            seen_value = any(x.kind == "deny" for x in run)
        run.append(item)
        seen_target = seen_target or item.kind in {"target", "edge_site"}
        said = item.kind in {"value", "grade", "deny", "denied", "not_tested"}
        seen_value = seen_value or (said and not _is_part(chunk, i))
        if item.kind == "target" and item.of_kind("sign"):
            seen_value = True
    runs.append(run)
    return [run for run in runs if run]


def _names_a_group(chunk: list[Item]) -> bool:
    """The first name is one of a section or of a part, under which others may follow."""
    names = [x for x in chunk if x.kind == "target"]
    if _is_muscle(names[0]):
        return False
    sites = not any(x.of_kind("test", "after_site", "sign") for x in names[1:])
    return sites or bool(names[0].of_kind("section") or names[0].of_kind("site"))


def _completes(run: list[Item], item: Item) -> bool:
    """ "no ankle clonus": a test right after its bare site is one target with it."""
    last = next((x for x in reversed(run) if x.kind in CONTENT), None)
    if last is None or last.kind != "target" or not last.of_kind("site") or last.placed:
        return False
    if any(x is not last and x.of_kind("test", "after_site", "sign") for x in run):
        return False
    own = last.of_kind("test", "after_site", "sign")
    return not own and bool(item.of_kind("test", "after_site", "sign"))


def _confirms_denial(run: list[Item], item: Item) -> bool:
    """ "no drift is seen": the word only confirms what the negation says."""
    said = {reading.id for reading in item.of_kind("value") if not reading.test}
    return "present" in said and any(x.kind == "deny" for x in run)


def _denied_thing(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "no gait disturbance": the word right after what is denied belongs to the denial."""
    said = [x.kind for x in run if x.kind in CONTENT]
    if (
        chunk[i].kind != "value"
        or said != ["deny", "target"]
        or any(x.kind == "target" for x in chunk[i + 1 :])
    ):
        return False
    return not any(x.kind in {"grade", "side"} for x in chunk[i + 1 :])


def _of_its_sign(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "Tunnel vision on the right is absent": what is said of the sign, after its side."""
    item = chunk[i]
    common = {r.id for r in item.of_kind("value") if not r.test}
    said = [x for x in run if x.kind in CONTENT]
    sign = bool(said) and said[0].kind == "target" and bool(said[0].of_kind("sign"))
    placed = all(x.kind == "side" or (x.kind == "target" and x.placed) for x in said[1:])
    ends = not any(x.kind in CONTENT for x in chunk[i + 1 :])
    return sign and placed and ends and bool(common & {"absent", "present"}) and len(said) > 1


def _denied_of(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "I don't find the reflex in the arm absent": what is denied of the name is the value."""
    said = [x for x in run if x.kind in CONTENT]
    found = bool(said) and said[0].kind == "deny" and any(r.id == "frame" for r in said[0].readings)
    names = {x.kind for x in said[1:]} <= {"target", "side"} and len(said) > 1
    return found and names and not any(x.kind == "target" for x in chunk[i + 1 :])


def _denies_nothing(chunk: list[Item], i: int) -> bool:
    """ "reflexes normal without any spread": what is denied is no part of the examination."""
    after = next((x for x in chunk[i + 1 :] if x.kind in CONTENT | {"unknown"}), None)
    return after is not None and after.kind == "unknown"


def _only_signs(run: list[Item]) -> bool:
    """So far only a word such as "weakness" spoke a value; its grade may follow."""
    return not any(x.kind in {"value", "grade", "deny", "denied", "not_tested"} for x in run)


def _contrasts(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "ptosis on the left, none on the right": a sign with a side, then its absence elsewhere.

    A direction ("nystagmus on left gaze none on right gaze") is such a place as well.
    """
    absent = any(r.id == "absent" and not r.test for r in chunk[i].of_kind("value"))
    sign = any(r.id for x in run for r in x.of_kind("test")) and any(map(_is_place, run))
    rest = [x for x in chunk[i + 1 :] if x.kind in CONTENT or x.kind == "degree" or _is_place(x)]
    after = rest[0] if rest else None
    # "ptosis right none, left mild": each side has its own word after it
    told = [x.kind for x in rest if x.kind != "target"][:2]
    own = told in (["side", "value"], ["side", "degree"])
    leads = own and [x.kind for x in run[1:]] in (["side"], ["side", "target"])
    return absent and sign and not leads and after is not None and _is_place(after)


def _is_place(item: Item) -> bool:
    """A side, or a direction that was joined to its side."""
    return item.kind == "side" or (item.kind == "detail" and bool(item.of_kind("direction")))


def _opens_next(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """A side after a value opens the next statement if that one is complete."""
    for j in range(i + 1, len(chunk)):
        if chunk[j].kind in CONTENT:
            if chunk[j].kind == "target":
                return _stands_alone(chunk, j, run)
            return chunk[j].kind in {"grade", "value"}
    return False


def _leads_target(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """ "weak right corneal reflex": a value said first has not met its target yet."""
    if any(x.kind in {"target", "edge_site"} for x in run):
        return False
    return not any(x.kind in {"value", "grade", "deny", "denied"} for x in chunk[i:])


def _placed_next(chunk: list[Item], i: int) -> bool:
    """The next target is where ("in both hands"), not a new item."""
    return next((x.placed for x in chunk[i + 1 :] if x.kind == "target"), False)


def _is_part(chunk: list[Item], i: int) -> bool:
    """A number right after the name of a part ("E4")."""
    return chunk[i].kind == "grade" and i > 0 and bool(chunk[i - 1].of_kind("part"))


def _stands_alone(chunk: list[Item], i: int, run: list[Item]) -> bool:
    """A bare site with nothing said of it after it belongs to what was said before it."""
    item = chunk[i]
    if item.of_kind("test", "after_site", "sign") and not item.of_kind("site"):
        return True
    if _is_muscle(item) and _muscle_graded(run):
        return True
    own = {r.test for x in run for r in x.of_kind("test", "sign")}
    if any(r.test and r.test in own for r in item.of_kind("site")):
        return False
    later = {x.kind for x in chunk[i + 1 :]} | {"sign" for x in chunk[i + 1 :] if x.of_kind("sign")}
    named = any(x.of_kind("test", "after_site") for x in chunk[i + 1 :])
    return (
        bool(later & {"value", "grade", "deny", "denied", "not_tested", "unable", "sign"}) or named
    )


def _is_muscle(item: Item) -> bool:
    """The name of a muscle or of a reflex alone."""
    groups = {reading.group for reading in item.of_kind("site")}
    return item.kind == "target" and bool(groups & {"muscle", "reflex"}) and "limb" not in groups


def _muscle_graded(run: list[Item]) -> bool:
    """ "Eversion three | inversion": the grade was said of the muscle before it.

    So was a word, where the next muscle has a side before it ("triceps weak | right biceps").
    """
    said = [x for x in run if x.kind in {"target", "edge_site", *VALUED}]
    sided = bool(run) and run[-1].kind == "side" and not run[-1].placed
    valued = {"grade", "value"} if sided else {"grade"}
    return len(said) > 1 and said[-1].kind in valued and _is_muscle(said[-2])


def _site_of_sign(run: list[Item], item: Item) -> bool:
    """ "oriented times three": a bare site right after a word that names test and value."""
    last = next((x for x in reversed(run) if x.kind in CONTENT), None)
    names = item.of_kind("test", "after_site", "sign")
    return bool(
        last is not None and last.of_kind("sign") and not last.of_kind("site") and not names
    )


def _ends_with_word(chunk: list[Item]) -> bool:
    """ "Pupils four millimetres right three millimetres left reactive": grades with their sides,
    and a word of all of them."""
    said = [item.kind for item in chunk if item.kind in {"side", *VALUED}]
    return said[:4] == ["grade", "side", "grade", "side"] and said[4:] == ["value"]


def _ends_with_site(chunk: list[Item]) -> bool:
    """ "Light touch reduced left hand normal right hand": a side and its site come last."""
    said = [item for item in chunk if item.kind in {"side", "target", "edge_site", *VALUED}][-2:]
    site = said[-1:] and said[-1].of_kind("site") and not said[-1].of_kind("sign")
    return bool(site) and said[0].kind == "side"


def _site_of_side(before: list[Item], item: Item) -> bool:
    """ "Light touch reduced left hand pinprick ...": the site of what has none, after its side."""
    if any(x.of_kind("site") for x in before if x.kind == "target"):
        return False
    last = next((x for x in reversed(before) if x.kind in CONTENT), None)
    bare = item.of_kind("site") and not item.of_kind("test", "after_site", "sign")
    return bool(bare) and last is not None and last.kind == "side" and not last.placed


def _side_ends_a_pair(chunk: list[Item]) -> bool:
    """The first target has no side before it, so sides follow their values."""
    for item in chunk:
        if item.of_kind("sign"):
            return True
        if item.kind == "side":
            return False
        if item.kind in {"value", "grade"}:
            return True
    return False


def _next_kind(chunk: list[Item], i: int) -> str:
    return next((item.kind for item in chunk[i + 1 :] if item.kind in CONTENT), "")


def denies_value(chunk: list[Item], i: int) -> bool:
    return _next_kind(chunk, i) in {"value", "grade"}


def _beside_value(run: list[Item]) -> bool:
    """The last thing said was a value, so this is one more word of the same."""
    for item in reversed(run):
        if item.kind in {"value", "grade", "deny", "both_after"} or item.of_kind("sign"):
            return True
        if item.kind in {"target", "side", "edge_site"}:
            return False
    return False


def _back_to_side(run: list[Item], trailing: bool) -> int:
    """A part of a limb right before a new target goes with it, and an unplaced side, if sides do
    not trail their values."""
    if run and "limb_part" in run[-1].others:
        return len(run) - 1
    if trailing:
        return len(run)
    for i in range(len(run) - 1, -1, -1):
        if run[i].kind == "side" and not run[i].placed:
            return i
        if run[i].kind not in QUIET:
            break
    return len(run)
