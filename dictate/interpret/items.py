"""Terms and grades to a row of items: each token belongs to exactly one item.

An item is a piece that the statement reader moves around: a target, a value, a side, a break.
What a form means beside its neighbours ("left gaze" is a direction, "to the mid shin" an edge) is
settled here; what it means beside its test is settled later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading, Term
from dictate.interpret.tokens import Token

#: The kinds of an item, most telling first: the first that one of its readings has.
_PRIORITY = (
    ("target", ("test", "after_site", "site", "sign")),
    ("value", ("value", "grade_word", "trouble")),
    ("stop", ("leads",)),
    ("unknown", ("foreign",)),
    ("side", ("side",)),
    ("not_tested", ("not_tested",)),
    ("unable", ("unable",)),
    ("pseudo", ("pseudo",)),
    ("denied", ("denied",)),
    ("deny", ("deny",)),
    ("except", ("exception",)),
    ("take_back", ("take_back",)),
    ("replace", ("replace",)),
    ("swap", ("swap",)),
    ("whole_run", ("whole_run",)),
    ("reason", ("reason", "opinion")),
    ("doubt", ("doubt", "request")),
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
        (
            "glue",
            "filler",
            "also",
            "range",
            "opening",
            "you",
            "own",
            "hesitation",
            "before_side",
            "definite",
            "every",
            "mends",
        ),
    ),
    ("talk", ("instruct", "ask", "reply", "reported", "elsewhere")),
)
_BREAKS = {",": "comma", ":": "colon", ";": "stop", ".": "stop", "!": "stop", "?": "stop"}
_SIGNS = {"(", ")", "[", "]", '"', "“", "”", "*", "#", "-", "–", "=", "~", "_", "|", "…"}


@dataclass(slots=True)
class Item:
    """One piece of a sentence; ``start``/``end`` are tokens.

    ``instead_of``: of words that correct, the value that was said by mistake ("not a three plus").
    """

    kind: str
    start: int
    end: int
    readings: tuple[Reading, ...] = ()
    grade: Grade | None = None
    text: str = ""
    placed: bool = False
    others: frozenset[str] = field(default_factory=frozenset)
    joined: bool = False
    instead_of: tuple[Grade | None, tuple[Reading, ...]] | None = None

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
        _hyphened(row, tokens)
        i = row[-1].end
    return row


def _hyphened(row: list[Item], tokens: Sequence[Token]) -> None:
    """ "gag-shrug-corneal": a hyphen between names of things joins them as "and" does."""
    if len(row) < 2 or not tokens[row[-1].start].hyphen:
        return
    here, before = row[-1], row[-2]
    named = here.kind == before.kind == "target" and _names_one(before) and _names_one(here)
    if named:
        row.insert(-1, Item("and", here.start, here.start, text="-"))


def _names_one(item: Item) -> bool:
    """The name of a test, or of a site that is no part of the next word's name."""
    return bool(item.of_kind("test", "sign")) or not item.of_kind("after_site")


def _from_term(term: Term) -> Item:
    kinds = frozenset(reading.kind for reading in term.readings)
    for kind, wanted in _PRIORITY:
        if kinds.intersection(wanted):
            return Item(
                kind, term.start, term.end, term.readings,
                text=term.form, others=kinds, joined=term.joined,
            )  # fmt: skip
    return Item("glue", term.start, term.end, term.readings, text=term.form, others=kinds)


def _plain(token: Token, i: int) -> Item:
    if token.norm in _BREAKS:
        return Item(_BREAKS[token.norm], i, i + 1, text=token.norm)
    if token.norm in {"/", "&"}:
        return Item("and", i, i + 1, text=token.norm)
    if token.norm in _SIGNS:
        return Item("glue", i, i + 1, text=token.norm)
    return Item("unknown", i, i + 1, text=token.norm)
