"""Terms and grades to a row of items: each token belongs to exactly one item.

An item is a piece that the statement reader moves around: a target, a value, a side, a break.
What a form means beside its neighbours ("left gaze" is a direction, "to the mid shin" an edge) is
settled here; what it means beside its test is settled later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from dictate.grammar.load import Grammar
from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading, Term
from dictate.interpret.tokens import Token

#: The kinds of an item, most telling first: the first that one of its readings has.
_PRIORITY = (
    ("target", ("test", "after_site", "site", "sign")),
    ("value", ("value", "grade_word")),
    ("side", ("side",)),
    ("not_tested", ("not_tested",)),
    ("unable", ("unable",)),
    ("pseudo", ("pseudo",)),
    ("denied", ("denied",)),
    ("deny", ("deny",)),
    ("except", ("exception",)),
    ("take_back", ("take_back",)),
    ("replace", ("replace",)),
    ("reason", ("reason",)),
    ("doubt", ("doubt",)),
    ("both_after", ("both_after",)),
    ("detail", ("detail",)),
    ("direction", ("direction",)),
    ("part", ("part",)),
    ("section", ("section",)),
    ("but", ("contrast",)),
    ("and", ("join",)),
    ("repeat", ("repeat",)),
    ("compare", ("compare",)),
    ("edge", ("edge",)),
    ("quality", ("quality",)),
    ("degree", ("degree",)),
    ("rest", ("rest",)),
    ("place", ("place",)),
    (
        "glue",
        ("glue", "filler", "also", "range", "opening", "you", "own", "hesitation", "before_side"),
    ),
    ("talk", ("instruct", "ask", "reply", "reported", "elsewhere")),
)
_BREAKS = {",": "comma", ":": "colon", ";": "stop", ".": "stop", "!": "stop", "?": "stop"}
_SIGNS = {"(", ")", "[", "]", '"', "“", "”", "*", "#", "-", "–", "=", "~", "_", "|", "…"}


@dataclass(slots=True)
class Item:
    """One piece of a sentence; ``start``/``end`` are tokens."""

    kind: str
    start: int
    end: int
    readings: tuple[Reading, ...] = ()
    grade: Grade | None = None
    text: str = ""
    placed: bool = False
    others: frozenset[str] = field(default_factory=frozenset)

    def of_kind(self, *kinds: str) -> list[Reading]:
        """Its readings of some kinds."""
        return [reading for reading in self.readings if reading.kind in kinds]


def items_of(
    tokens: Sequence[Token], terms: Sequence[Term], grades: Sequence[Grade], start: int, end: int
) -> list[Item]:
    """The items of the tokens ``start`` to ``end``, in order, covering every token."""
    by_start: dict[int, Term | Grade] = {term.start: term for term in terms}
    by_start.update({grade.start: grade for grade in grades})
    row: list[Item] = []
    i = start
    while i < end:
        found = by_start.get(i)
        if isinstance(found, Grade):
            kind = "quality" if found.counts else "grade"
            row.append(Item(kind, i, found.end, grade=found, text=found.text))
        elif found is not None:
            row.append(_from_term(found))
        else:
            row.append(_plain(tokens[i], i))
        i = row[-1].end
    return row


def _from_term(term: Term) -> Item:
    kinds = frozenset(reading.kind for reading in term.readings)
    for kind, wanted in _PRIORITY:
        if kinds.intersection(wanted):
            return Item(kind, term.start, term.end, term.readings, text=term.form, others=kinds)
    return Item("glue", term.start, term.end, term.readings, text=term.form, others=kinds)


def _plain(token: Token, i: int) -> Item:
    if token.norm in _BREAKS:
        return Item(_BREAKS[token.norm], i, i + 1, text=token.norm)
    if token.norm in {"/", "&"}:
        return Item("and", i, i + 1, text=token.norm)
    if token.norm in _SIGNS:
        return Item("glue", i, i + 1, text=token.norm)
    return Item("unknown", i, i + 1, text=token.norm)


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


def settle(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
    """Join what belongs together: ranges, directions, reasons, edges; mark placed targets.

    Args:
        row: The items of one sentence.
        grammar: For the ranges of sites.
        words: The folded words of the utterance, by token.
    """
    row = as_values(_corrections(_openings(row)))
    _lone_parts(row)
    row = _numbered(row, grammar)
    row = _parts(row, grammar, words)
    row = _ranges(row, grammar)
    row = _becomes(row)
    row = _directions(row)
    row = _reasons(row)
    row = _edges(row)
    _mark_placed(row)
    return row


def _corrections(row: list[Item]) -> list[Item]:
    """ "No, the left", "no, make that four": a "no" that denies nothing announces a correction."""
    for i, item in enumerate(row):
        if item.kind != "deny" or "replace" not in item.others:
            continue
        opens = all(x.kind in {"glue", "comma", "replace"} for x in row[:i])
        after = [x for x in row[i + 1 :] if x.kind != "glue"]
        between = i and row[i - 1].kind == "comma" and after and after[0].kind == "comma"
        if between or (opens and after and _corrects(after)):
            item.kind = "replace"
    return row


def _openings(row: list[Item]) -> list[Item]:
    """ "Okay, light touch ...", "Good, deltoid five": filler at the start is no value."""
    for i, item in enumerate(row):
        opens = item.kind in {"glue", "comma"} or "opening" in item.others
        if not opens or item.kind == "side":
            break
        comma = i + 1 < len(row) and row[i + 1].kind == "comma"
        if item.kind == "value" and (comma or "filler" in item.others):
            item.kind = "glue"
    return row


def _lone_parts(row: list[Item]) -> None:
    """ "eye" is a part of a total only beside that total or another part of it."""
    named = {reading.test for item in row for reading in item.of_kind("test")}
    parts = [reading for item in row for reading in item.of_kind("part")]
    for item in row:
        for reading in item.of_kind("part"):
            others = {part.id for part in parts if part.test == reading.test}
            if item.kind == "part" and reading.test not in named and len(others) < 2:
                item.kind = "glue"
                item.readings = tuple(r for r in item.readings if r.kind != "part")


def _corrects(after: list[Item]) -> bool:
    """What follows a "no" that opens a sentence is no thing that could be denied."""
    if after[0].kind == "side":
        return len(after) < 2 or after[1].kind in {"comma", "stop", "grade"}
    return after[0].kind in {"comma", "replace", "grade", "take_back"}


def _numbered(row: list[Item], grammar: Grammar) -> list[Item]:
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
            return [*row[: i + 1], joined, *_numbered(row[j:], grammar)]
    return row


def _parts(row: list[Item], grammar: Grammar, words: Sequence[str]) -> list[Item]:
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


def _ranges(row: list[Item], grammar: Grammar) -> list[Item]:
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


def _becomes(row: list[Item]) -> list[Item]:
    """ "four decreasing to two": the second size is detail. A bare "to" makes a range instead."""
    for i, item in enumerate(row[:-1]):
        spoken = "becomes" in item.others and item.text != "to"
        if spoken and row[i + 1].kind == "grade" and any(x.kind == "grade" for x in row[:i]):
            joined = Item("quality", item.start, row[i + 1].end, text="becomes")
            return [*row[:i], joined, *_becomes(row[i + 2 :])]
    return row


def _directions(row: list[Item]) -> list[Item]:
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
                return _directions([*row[:a], joined, *row[b + 1 :]])
    return row


def _reasons(row: list[Item]) -> list[Item]:
    """ "because of the cast": all of it is the reason, up to the next break."""
    for i, item in enumerate(row):
        if item.kind == "reason":
            j = i + 1
            while j < len(row) and row[j].kind not in {"comma", "stop", "but", "except", "colon"}:
                j += 1
            if j > i + 1:
                joined = Item("because", row[i + 1].start, row[j - 1].end, text="reason")
                return [*row[:i], joined, *_reasons(row[j:])]
    return row


def _edges(row: list[Item]) -> list[Item]:
    """ "up to the mid shin": the site is where it ends, the wording is kept as detail."""
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
        sides = [piece for piece in row[i:j] if piece.kind == "side"]
        edge = Item("edge_site", item.start, target.end, sites, text="edge", placed=True)
        return [*row[:i], *sides, edge, *_edges(row[j + 1 :])]
    return row


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
