"""The second reader's items, with what a sensation was tried with brought before its places."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading
from dictate.interpret.modalities import (
    AND,
    BREAK,
    COMMA,
    DENY,
    EDGE,
    IDLE,
    LEADS,
    SITE,
    TEST,
    VALUE,
    each_takes,
    letter_of_name,
    moved,
    only_say_how,
    plan,
)
from dictate.parse.categories import Claim
from dictate.parse.items import Item

_LETTERS = {
    "COMMA": COMMA, "AND": AND, "VALUE": VALUE, "DENY": DENY, "DENIED": DENY, "SIDE": IDLE,
    "MISC": IDLE, "DEGREE": IDLE, "DETAIL": IDLE, "PREP": LEADS, "EDGE": EDGE, "RANGE": EDGE,
}  # fmt: skip


def tried(items: list[Item], grammar: Grammar) -> list[Item]:
    """ "Both hands reduced to light touch and pin": the tests first.

    Args:
        items: Those of one sentence.
        grammar: For the tests and what they take.
    """
    letters = "".join(_letter(item, grammar) for item in items)
    found = plan(letters) if TEST in letters and SITE in letters else None
    if found is None:
        return items
    tests = [r.test for k in found.tests for r in items[k].of_kind("test")]
    if only_say_how(tests, [items[k].readings for k in found.sites], grammar):
        row = list(items)
        for k in (*found.tests, *found.leads):
            role = "DETAIL" if letters[k] == TEST else "MISC"
            row[k] = Item(row[k].start, row[k].end, row[k].text, (role,))
        return row
    places = [items[k].of_kind("site") for k in found.sites]
    if found.bare or not each_takes(tests, places, grammar):
        return items
    row = list(items)
    for k in found.leads:
        row[k] = Item(row[k].start, row[k].end, row[k].text, ("MISC",))
    if found.loss:
        old = row[found.value]
        said = tuple(Reading("value", old.of_kind("sign")[0].id, test) for test in tests)
        row[found.value] = Item(old.start, old.end, old.text, ("VALUE",), said)
    first, after = moved(found)
    at = row[after[0]].start
    place = [] if letters[after[0]] == LEADS else [Item(at, at, "", ("PREP",))]
    rest = tried(row[found.tests[-1] + 1 :], grammar)
    return [*(row[k] for k in first), *place, *(row[k] for k in after), *rest]


def in_place(claims: list[Claim]) -> None:
    """Each claim from the first of its words to the last, whatever the order they were read in."""
    for claim in claims:
        spans = [span for name in (*claim.names, *claim.places) for span in name.spans]
        spans += [v.span for v in claim.values] + [span for _, span in claim.details]
        if spans:
            claim.start, claim.end = min(a for a, _ in spans), max(b for _, b in spans)


def _letter(item: Item, grammar: Grammar) -> str:
    if not {"TEST", "SIGN", "SITE"} & set(item.roles):
        return _LETTERS.get(item.roles[0], BREAK)
    return letter_of_name(item, grammar)
