"""What a word means beside its neighbours: a row of items made ready for the statement reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.interpret.answered import with_answers
from dictate.interpret.bothsides import both_alike, two_sides
from dictate.interpret.changing import told_to_change
from dictate.interpret.comparatives import said_of_one
from dictate.interpret.denials import (
    colon_of_sign,
    felt_less,
    possible,
    seen_or_not,
    value_denied,
)
from dictate.interpret.denied_there import denied_there
from dictate.interpret.in_doubt import weighed
from dictate.interpret.is_there import is_there
from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading
from dictate.interpret.neither_is import neither_is
from dictate.interpret.only_there import only_there
from dictate.interpret.openings import headed
from dictate.interpret.or_denied import or_denied
from dictate.interpret.own_sign import own_sign
from dictate.interpret.pauses import pauses
from dictate.interpret.plus import graded_signs, plus_joins
from dictate.interpret.qualifiers import (
    bare_reasons,
    circumstances,
    compared,
    directions,
    edges,
    qualifiers,
    reasons,
    requests,
    to_break,
    whole_limb,
)
from dictate.interpret.ranges import (
    becomes,
    lines_of_chart,
    lone_parts,
    losses,
    numbered,
    parts_of_total,
    ranges,
    worded_ranges,
)
from dictate.interpret.repaired import repaired
from dictate.interpret.scope import (
    SIGNS,
    adverbs,
    both_of_two,
    denials,
    either_side,
    fillers,
    in_brackets,
    led,
    marks,
    not_moved,
    not_the_other,
    sought,
    the_one,
)
from dictate.interpret.series import mixed_answers, neither_nor
from dictate.interpret.set_apart import set_apart
from dictate.interpret.set_right import set_right
from dictate.interpret.tried import tried
from dictate.interpret.yesno import yes_and_no


def as_values(row: list[Item]) -> list[Item]:
    """A word that names a test and is a value of a test named before it is that value here."""
    named: set[str] = set()
    for item in row:
        own = {reading.test for reading in item.of_kind("value") if reading.test}
        if item.kind == "target" and own & named:
            item.kind = "value"
        elif item.kind == "target":
            named |= {reading.test for reading in item.of_kind("test", "after_site")}
        elif item.kind == "stop":
            named = set()
    return row


def _doubted(row: list[Item], grammar: Grammar) -> None:
    """ "Equivocal versus flexor", "gag, didn't": nothing beside such words is sure."""
    kinds = [item.kind for item in row]
    values = {i for i, kind in enumerate(kinds) if kind in {"value", "grade"}}
    idle = {i for i, kind in enumerate(kinds) if kind in {"glue", "degree", "place"}}
    stops = {i for i, kind in enumerate(kinds) if kind in {"comma", "stop"}} | {-1}
    for i in weighed(row, values, idle, stops, grammar):
        row[i].kind, row[i].others = "doubt", frozenset({"doubt"})


def _compared(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Weaker on the right": that side is weak; beside a grade it says nothing more.

    "Weaker than the right" says nothing of what either side is.
    """
    if any(item.kind in {"value", "grade", "but"} for item in row):
        return row
    out: list[Item] = []
    for item in row:
        found = said_of_one(item.text, grammar.classes) if item.kind == "compare" else None
        reading, many = found or (None, 0)
        text = " ".join(item.text.split(" ")[:many])
        rest = " ".join(item.text.split(" ")[many:])
        if reading is None or rest not in grammar.speech.compare_more_ends:
            out.append(item)
            continue
        middle = item.start + many
        out.append(Item("value", item.start, middle, (reading,), text=text))
        out.append(Item("place", middle, item.end, text=rest, others=frozenset({"place"})))
    return out


def settle(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
    """Join what belongs together: ranges, directions, reasons, edges; mark placed targets.

    Args:
        row: The items of one sentence.
        grammar: For the ranges of sites.
        words: The folded words of the utterance, by token.
    """
    for item in row:
        if item.kind == "talk" and item.others <= {"reply"}:
            item.kind = "glue"  # "it is" says nothing by itself; who speaks is judged elsewhere
    classes = grammar.closed.classes
    _doubted(row, grammar)
    row = _compared(row, grammar)
    row = graded_signs(plus_joins(row, grammar, words), grammar)
    row = led(row, frozenset(classes.get("turn", ())))
    row = the_one(row, words, frozenset(classes.get("pronoun", ())))
    row = two_sides(yes_and_no(with_answers(is_there(row, grammar), grammar), grammar), grammar)
    row = in_brackets(fillers(both_of_two(either_side(signs_as_values(row, grammar, words)))))
    row = colon_of_sign(seen_or_not(possible(felt_less(row)), grammar.classes.get("noted", ())))
    row = set_right(value_denied(own_sign(row, grammar), grammar))
    row = adverbs(denials(row), frozenset(classes.get("adverb", ())))
    row = repaired(told_to_change(not_moved(sought(row)), grammar))
    row = neither_nor(neither_is(mixed_answers(row, grammar.speech.talk.answers)))
    row = denied_there(row, grammar)
    row = as_values(_announced(_corrections(_openings(row)), grammar))
    row = set_apart(tried(not_the_other(row), grammar), grammar)
    row = or_denied(row, grammar.speech.negation.before)
    row = only_there(row, grammar.classes.get("only", ()))
    row = headed(pauses(row), grammar)
    row = lines_of_chart(row, grammar)
    lone_parts(row)
    row = losses(row)
    _both_parts(row)
    row = both_alike(numbered(row, grammar), grammar)
    row = parts_of_total(row, grammar, words)
    row = ranges(row, grammar)
    row = becomes(worded_ranges(row))
    row = directions(row)
    row = circumstances(compared(qualifiers(requests(row)), grammar))
    row = bare_reasons(reasons(row))
    row = edges(row, grammar)
    for item in row:
        if item.kind == "target" and any(whole_limb(r, grammar) for r in item.of_kind("site")):
            item.others |= {"whole_limb"}
    _mark_placed(_patterns(row, grammar))
    return row


def _patterns(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Reduced in a stocking distribution to the shins": a pattern adds to the place."""

    def pattern(item: Item) -> bool | None:
        sites = [r for r in item.of_kind("site") if r.group]
        if not item.kind.endswith(("target", "site")) or not sites:
            return None
        return all(grammar.is_pattern(r.group, r.id) for r in sites)

    if any(pattern(item) is False for item in row):
        for item in row:
            item.kind = "quality" if pattern(item) else item.kind
    return row


#: How a plus and a minus that say that a sign is there, or is not, are written in full.
_THERE, _NOT_THERE = "(+)", "(-)"


def signs_as_values(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
    """A lone plus or minus after a sign is what the sets of values have in brackets."""

    def of(form: str) -> tuple[Reading, ...]:
        return tuple(
            Reading("value", name) for name, forms in grammar.sets.items() if form in forms
        )

    for i in range(1, len(row)):
        plus = row[i].kind == "grade" and words[row[i].start : row[i].end] == ["+"]
        tests = {r.test for r in row[i - 1].of_kind("test", "sign")}
        if plus and tests and not any(grammar.tests[test].scale for test in tests):
            there = frozenset({"value"})  # no grade of these
            row[i] = replace(
                row[i], kind="value", grade=None, readings=of(_THERE), text="+", others=there
            )
    if not any(item.text in SIGNS for item in row):
        return row

    return marks(row, of(_THERE), of(_NOT_THERE))


def _corrections(row: list[Item]) -> list[Item]:
    """ "No, the left", "no, make that four": a "no" that denies nothing announces a correction."""
    for i, item in enumerate(row):
        if item.kind != "deny" or "replace" not in item.others:
            continue
        opens = all(x.kind in {"glue", "comma", "replace"} for x in row[:i])
        after = [x for x in row[i + 1 :] if x.kind != "glue"]
        between = i and row[i - 1].kind == "comma" and after and after[0].kind == "comma"
        corrects = bool(after) and (_corrects(after) if opens else _graded_anew(row, i, after))
        if between or corrects or _no_denial(row, i):
            item.kind = "replace"
    return row


def _no_denial(row: list[Item], i: int) -> bool:
    """ "No the deltoid was four plus", "no no clonus": what comes after it cannot be denied."""
    after = row[i + 1] if i + 1 < len(row) else None
    return after is not None and (after.kind == "deny" or bool(after.others & {"definite", "swap"}))


def _graded_anew(row: list[Item], i: int, after: list[Item]) -> bool:
    """ "Four, no five", "two plus no absent", "no left biceps four": a value in place of one."""
    if after[0].kind in {"grade", "value"}:
        alone = len(after) < 2 or after[1].kind in {"comma", "stop", "and"}
        return row[i - 1].kind in {"grade", "value"} and (alone or after[0].kind == "grade")
    muscle = [x for x in after if x.kind != "side"][:2]
    named = len(muscle) == 2 and muscle[0].kind == "target" and muscle[1].kind == "grade"
    return named and any(r.group in {"muscle", "reflex"} for r in muscle[0].of_kind("site"))


def _openings(row: list[Item]) -> list[Item]:
    """ "Okay, light touch ...", "Good, deltoid five": filler at the start is no value."""
    for i, item in enumerate(row):
        opens = item.kind in {"glue", "comma"} or "opening" in item.others
        if item.kind == "side" and opens and _announces(row[i + 1 :]):
            item.kind = "glue"
        if not opens or item.kind == "side":
            break
        comma = i + 1 < len(row) and row[i + 1].kind == "comma"
        if item.kind == "value" and (comma or "filler" in item.others):
            item.kind = "glue"
    return row


def _announces(row: list[Item]) -> bool:
    """ "Right, reflexes", spoken without the comma, and nothing more: a filler, or a side?"""
    named = [item for item in row if item.kind not in {"glue", "stop"}]
    return bool(named) and all(item.of_kind("section") for item in named)


def _announced(row: list[Item], grammar: Grammar) -> list[Item]:
    """ "Motor examination shows ...": the name of a section and such a word are a heading."""
    named = False
    for i, item in enumerate(row):
        told = item.kind == "deny" and item.text.split(" ")[0] in grammar.speech.announce
        if named and told:  # "Motor examination reveals no weakness"
            at = item.start
            return [*row[:i], Item("colon", at, at, text="announced"), *row[i:]]
        if named and ("announce" in item.others or _opens_named(row, i)):
            item.kind = "colon"
        if item.kind not in {"glue", "degree"}:
            named = bool(item.of_kind("section"))
    return row


def _opens_named(row: list[Item], i: int) -> bool:
    """ "Motor is normal bulk and tone": the value is of the tests named right after it."""
    if row[i].kind != "glue" or not row[i].others & {"hesitation"} or i + 2 >= len(row):
        return False
    value, test = row[i + 1], row[i + 2]
    named = test.kind == "target" and test.of_kind("test") and not test.of_kind("section")
    said = any(x.kind in {"value", "grade"} for x in to_break(row, i + 3))
    return value.kind == "value" and bool(named) and not said


def _both_parts(row: list[Item]) -> None:
    """ "distal and proximal strength", "rest or postural tremor": it joins the qualities alone."""
    for i in range(1, len(row) - 1):
        near = "limb_part" in row[i - 1].others and "limb_part" in row[i + 1].others
        kinds = row[i - 1].kind == row[i + 1].kind == "detail"
        named = i + 2 < len(row) and row[i + 2].kind == "target"
        if row[i].kind == "and" and (near or (kinds and named)):
            row[i].kind = "glue"


def _corrects(after: list[Item]) -> bool:
    """What follows a "no" that opens a sentence is no thing that could be denied."""
    if [item.kind for item in after[:4]] == ["side", "value", "side", "value"]:
        return True  # "no left down right up": nothing of it is denied
    if after[0].kind == "side":
        return len(after) < 2 or after[1].kind in {"comma", "stop", "grade"}
    last = len(after) < 2 or after[1].kind in {"comma", "stop"}
    if after[0].kind == "value":
        return last and not after[0].of_kind("trouble")  # "no increased"
    if after[0].kind == "target" and not last:
        plain = not after[0].of_kind("sign") and not any(r.id for r in after[0].of_kind("test"))
        ends = len(after) < 3 or after[2].kind in {"comma", "stop"}
        trouble = after[1].of_kind("trouble")  # "no gait disturbance" denies
        return plain and after[1].kind in {"value", "grade"} and ends and not trouble
    return after[0].kind == "deny" or after[0].kind in {"comma", "replace", "grade", "take_back"}


def _mark_placed(row: list[Item]) -> None:
    """A target is placed when a word such as "at" or "in" leads to it."""
    leads = by_side = after_side = False
    for item in row:
        if item.kind == "target":
            limb = any(reading.group == "limb" for reading in item.of_kind("site"))
            item.placed = item.placed or leads or (limb and after_side)
            leads = after_side = False
        elif item.kind == "side":
            item.placed = leads or "trails" in item.others
            if leads and not by_side:
                item.others |= {"in_place"}
            after_side = leads
            leads = leads and not by_side
        elif item.kind in {"place", "edge"} or "place" in item.others:
            leads = True
            by_side = "before_side" in item.others
        elif item.kind not in {"glue", "quality", "degree"}:
            item.placed = item.kind == "unknown" and (leads or after_side)
            leads = after_side = False
