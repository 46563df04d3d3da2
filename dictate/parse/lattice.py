"""Text to a row of items: each stretch of tokens with every role that its senses allow.

spaCy carries the tokens and finds the terms; nothing is chosen here. What a word may be (a site, a
value, a denial) is settled by the chart; a word that nobody knows stays one, and is accounted for.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.columns import Columns, in_columns
from dictate.interpret.denials import FELT
from dictate.interpret.grades import Grade
from dictate.interpret.in_context import in_context
from dictate.interpret.in_doubt import weighed
from dictate.interpret.lexicon import Reading, Term
from dictate.interpret.marks import speaker_of, unmarked
from dictate.interpret.tokens import Token, tokenise
from dictate.interpret.told import Instructions, Told
from dictate.model import Utterance
from dictate.parse.items import MARKS, NAMES, ROLES, SIGNS, WEAK, Item, Lattice, folded
from dictate.parse.list_ends import ListEnds
from dictate.parse.merging import Merging
from dictate.parse.neighbours import beside_each_other
from dictate.parse.openings import headed
from dictate.parse.pauses import Pauses
from dictate.parse.plus import graded_signs, plus_joins
from dictate.parse.pointing import Pointing
from dictate.parse.set_apart import both_parts, set_apart
from dictate.parse.shorthand import Shorthand

#: What a number word by itself may be as well, by the closed class that holds it.
_ALSO = (("FILLER", "number_or_cry"), ("ONE", "number_or_thing"))


class Lattices(Merging, Pointing, ListEnds, Shorthand):
    """Makes lattices by one grammar; built once."""

    def __init__(self, grammar: Grammar) -> None:
        """Take what the stages need of the grammar."""
        super().__init__(grammar)
        self.pauses = Pauses(grammar)
        self.instructions = Instructions(grammar, self.lexicon)

    def read(
        self, utterance: Utterance, columns: Columns | None = None, told: Told | None = None
    ) -> Lattice:
        """The lattice of one utterance; never fails, whatever the text holds.

        Args:
            utterance: The words.
            columns: The order in which a heading before it puts the halves of a pair.
            told: The instruction to the patient that ended the utterance before it.
        """
        who, label = speaker_of(utterance.text, self._labels)
        tokens, told = self.instructions.read(tokenise(unmarked(utterance.text, label)), told)
        tokens, after = in_columns(tokens, columns, self.grammar)
        tokens = in_context(tokens, self.grammar)
        terms = self.short_forms(tokens, self.lexicon.find(tokens, _shouted(tokens)))
        terms = self._with_sides(tokens, self._with_repairs(tokens, terms))
        terms = self._with_verbs(tokens, self._split_denials(tokens, self._opened(tokens, terms)))
        strong = {i for t in terms if _holds_number(t, self._closed) for i in range(t.start, t.end)}
        grades = self._grades.find(tokens, strong, terms)
        items = plus_joins(self._items(tokens, terms, grades), self.grammar)
        items = self.typed(tokens, self._doubted(_no_swaps(items)))
        items = graded_signs(items, self.grammar)
        items = self.list_ends(_brought_out(self._merged(self._completed(items))))
        items = _felt_less(_sought(_measures(self._patterns(self.pointed(items)))))
        items = self._predicates(set_apart(both_parts(items), self.grammar))
        items = beside_each_other(headed(items, self.grammar), self.grammar)
        return Lattice(utterance, tokens, self.pauses.paused(items), who, after, told)

    def _patterns(self, items: list[Item]) -> list[Item]:
        """ "Reduced in a stocking distribution to the shins": a pattern adds to the place."""
        of = [self._pattern_of(item) for item in items]
        starts = [0, *(i + 1 for i, item in enumerate(items) if "STOP" in item.roles), len(items)]
        for a, b in itertools.pairwise(starts):
            if False in of[a:b]:
                for item, pattern in zip(items[a:b], of[a:b], strict=True):
                    item.roles = ("DETAIL",) if pattern else item.roles
        return items

    def _predicates(self, items: list[Item]) -> list[Item]:
        """ "The weakness is not impressive": what is denied is a word that changes nothing."""
        denied: Item | None = None
        for item in [*items, Item(0, 0, ".", ("STOP",))]:
            role = item.roles[0]
            if (
                role == "MISC" and (item.text,) in self._changes_nothing and denied is not None
            ) or role in ("DENY", "DENIED"):
                denied = item
            elif role not in ("MISC", "DEGREE"):
                ends = role in ("STOP", "COMMA", "COLON", "BUT", "AND")
                if denied is not None and ends and denied.roles[0] == "MISC":
                    denied.roles = ("UNKNOWN",)
                denied = None
        return items

    def _pattern_of(self, item: Item) -> bool | None:
        """Whether a site is a pattern (True) or a place (False); None where it is no site."""
        sites = [r for r in item.of_kind("site") if r.group] if "SITE" in item.roles else []
        return all(self.grammar.is_pattern(r.group, r.id) for r in sites) if sites else None

    def _opened(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        """ "They are both extensor": "both" is the side of the value after it."""
        out: list[Term] = []
        for term in terms:
            last = self.lexicon.readings.get((tokens[term.end - 1].norm,), ())
            run = any(r.kind == "whole_run" for r in term.readings)
            after = term.end < len(tokens) and (tokens[term.end].norm,) in self.lexicon.readings
            if not (run and after and any(r.kind == "side" for r in last)):
                out.append(term)
                continue
            for i in range(term.start, term.end):
                readings = self.lexicon.readings.get((tokens[i].norm,))
                if readings:
                    out.append(Term(i, i + 1, tokens[i].norm, tuple(readings)))
        return out

    def _items(self, tokens: list[Token], terms: list[Term], grades: Sequence[Grade]) -> list[Item]:
        starts: dict[int, Term | Grade] = {}
        taken = {i for g in grades for i in range(g.start, g.end)}
        for term in terms:
            whole = taken.isdisjoint(range(term.start, term.end))
            rest = term if whole else self.lexicon.cut(tokens, term, taken)
            if rest is not None:
                starts[rest.start] = rest
        starts.update({g.start: g for g in grades})
        items: list[Item] = []
        i = 0
        while i < len(tokens):
            found = starts.get(i) if not _ends_question(tokens, i) else None
            if isinstance(found, Grade):
                role = "DETAIL" if found.counts else "VALUE"
                word = (tokens[i].norm,) if found.end == i + 1 else ()
                also = next((r for r, name in _ALSO if word in self.forms(name)), "")
                roles = (role, also) if also else (role,)
                items.append(Item(i, found.end, found.text, roles, grade=found))
            elif found is not None and found.form not in MARKS:
                items.append(self._term(found, tokens))
            else:
                items.append(self._plain_item(tokens, i))
            here = items[-1]
            joined = tokens[here.start].hyphen and len(items) > 1 and not here.text.isdigit()
            if joined and NAMES & set(here.roles) and NAMES & set(items[-2].roles):
                items.insert(-1, Item(here.start, here.start, "-", ("AND",)))
            i = here.end
        return items

    def _doubted(self, items: list[Item]) -> list[Item]:
        """ "Equivocal versus flexor", "gag, didn't": nothing beside such words is sure."""
        values = {i for i, it in enumerate(items) if "VALUE" in it.roles}
        idle = {i for i, it in enumerate(items) if it.roles[0] in ("MISC", "DEGREE", "PREP")}
        stops = {i for i, it in enumerate(items) if it.roles[0] in ("COMMA", "STOP")} | {-1}
        for i in weighed(items, values, idle, stops, self.grammar):
            items[i].roles = ("DOUBT",)
        return items

    def _term(self, term: Term, tokens: list[Token]) -> Item:
        roles: list[str] = []
        for r in term.readings:
            role = ROLES.get(r.kind, "MISC")
            if role not in roles:
                roles.append(role)
        item = Item(term.start, term.end, term.form, (), term.readings)
        if term.readings and term.readings[0].kind == "verb":
            verb, able = term.readings[0].id, bool(term.readings[0].test)
            item.verb, item.able = verb, able
            item.roles = {
                "seek": ("DENY", "DENIED"),
                "show": ("DENY",),
                "perceive": ("DENIED", "DENY"),
            }.get(verb, ("NOTDONE",))
            return item
        if "TEST" in roles and "SECTION" in roles:
            roles.remove("SECTION")
        if "CUE" in roles and "TAKEBACK" in roles:
            roles.remove("CUE")  # "disregard the last": it says what is done
        if any(r.kind == "ended" for r in term.readings):
            roles = [role for role in roles if role != "DOUBT"] + ["DENY"]
        strong = [
            role for role in roles if role not in WEAK or (role == "MISC" and roles[0] == "PART")
        ]
        item.roles = tuple(strong or roles)
        if item.roles == ("VALUE",) and self.is_denied_look(term.form.split(" ")):
            item.roles = ("VALUE", "DENY")  # "couldn't elicit any clonus": no value of the reflex
        helper = folded(term.form) in self._classes.get("auxiliary", ())
        if "VALUE" in item.roles and helper:
            item.roles = (*item.roles, "HELPER")
        elif "VALUE" in item.roles and any(
            r.kind in ("opening", "filler", "clause", "hesitation") for r in term.readings
        ):
            item.roles = (*item.roles, "FILLER")
        seen = any(r.kind == "value" and r.id == "present" for r in term.readings) and not any(
            r.test for r in term.readings
        )
        if seen and folded(term.form) in self._classes.get("noted", ()):
            item.roles = (*item.roles, "SEEN")
        if folded(term.form) in self.forms("only_place"):
            item.roles = ("PREP",)
        if item.roles and item.roles[0] == "PART" and "MISC" not in item.roles:
            item.roles = (*item.roles, "MISC")
        if item.roles == ("MISC",) and folded(term.form) in self.forms("filled_pause"):
            item.roles = ("HESITATION",)
        return item

    def _plain_item(self, tokens: list[Token], i: int) -> Item:
        token = tokens[i]
        spaced = 0 < i < len(tokens) - 1 and not token.glued and not tokens[i + 1].glued
        if token.norm in {"-", "–", "—"} and spaced and tokens[i + 1].text.isalpha():
            return Item(i, i + 1, ",", ("COMMA",))
        if token.norm in MARKS:
            role = MARKS[token.norm]
            if token.norm == "." and "." in {t.norm for t in tokens[max(0, i - 1) : i + 2 : 2]}:
                role = "COMMA"  # "left... equivocal"
            if token.norm == "?" and i + 1 < len(tokens) and tokens[i + 1].glued:
                role = "DOUBT"
            single = i > 0 and len(tokens[i - 1].text) == 1 and tokens[i - 1].text.isupper()
            if token.norm == "." and single and i + 1 < len(tokens) and tokens[i + 1].glued:
                role = "MISC"
            return Item(i, i + 1, token.norm, (role,))
        if token.norm in {"/", "&"}:
            return Item(i, i + 1, token.norm, ("AND",))
        alone = (
            token.norm in {"-", "–"}
            and i > 0
            and (i + 1 == len(tokens) or tokens[i + 1].norm in {",", ".", ";"})
        )
        if alone and not token.glued:
            return Item(i, i + 1, token.norm, ("VALUE",), (Reading("value", "absent"),))
        if token.norm in SIGNS:
            return Item(i, i + 1, token.norm, ("MISC",))
        if (token.norm,) in self._harmless:
            return Item(i, i + 1, token.norm, ("MISC",))
        return Item(i, i + 1, token.norm, ("UNKNOWN",))


def _brought_out(items: list[Item]) -> list[Item]:
    """ "Dix-Hallpike: no nystagmus": the name of a test that is a value of the one before it."""
    named: set[str] = set()
    for item in items:
        own = {r.test for r in item.of_kind("value") if r.test}
        if "TEST" in item.roles and own & named:
            item.readings = tuple(r for r in item.readings if r.kind == "value")
            item.roles = ("VALUE",)
        elif "TEST" in item.roles:
            named |= {r.test for r in item.of_kind("test", "after_site")}
        elif "STOP" in item.roles:
            named = set()
    return items


def _measures(items: list[Item]) -> list[Item]:
    """ "Positive on the left at forty degrees": a measure after a value word adds to it."""
    worded = False
    for item in items:
        if set(item.roles) & {"COMMA", "STOP", "COLON", "AND", "BUT", *NAMES}:
            worded = False
        elif item.grade is not None and item.grade.unit and worded:
            item.roles = ("DETAIL",)
        elif item.roles[0] == "VALUE" and item.grade is None:
            worded = True
    return items


def _felt_less(items: list[Item]) -> list[Item]:
    """ "He feels pin less on the left": how he feels it is said by what follows."""
    more = named = False
    for item in reversed(items):
        if set(item.roles) & {"COMMA", "STOP", "BUT", "AND"}:
            more, named = more and not named and "STOP" not in item.roles, False
        elif set(item.roles) & {"TEST", "SIGN"}:
            named = True
        elif item.roles[0] == "VALUE" and {r.id for r in item.of_kind("value")} == {FELT}:
            item.roles = ("MISC",) if more else item.roles
        elif set(item.roles) & {"VALUE", "DENY", "DENIED", "COMPARE"}:
            more = True
    return items


def _sought(items: list[Item]) -> list[Item]:
    """ "I looked for clonus and found none": the search is no doubt where its end is told."""
    end = named = -1
    for i in range(len(items) - 1, -1, -1):
        item = items[i]
        if "STOP" in item.roles:
            end = named = -1
        elif "DENIED" in item.roles and named < 0:
            end = i
        elif end >= 0 and any(r.kind == "seek" for r in item.readings):
            item.roles, items[end].roles = ("MISC",), ("DENIED",)
            if any(r.kind in ("contrast", "join") for r in items[end - 1].readings):
                items[end - 1].roles = ("MISC",)
        elif NAMES & set(item.roles) and end < 0:
            named = i
    return items


def _no_swaps(items: list[Item]) -> list[Item]:
    """ "By the reverse method": what goes on with a word that nobody knows exchanges nothing."""
    for here, after in itertools.pairwise(items):
        if "SWAP" in here.roles and after.roles[0] == "UNKNOWN":
            here.roles, here.readings = ("MISC",), ()
    return items


def _ends_question(tokens: list[Token], i: int) -> bool:
    """A question mark at the end of a word, and a space or nothing after it."""
    after = i + 1 < len(tokens) and tokens[i + 1].glued
    return tokens[i].norm == "?" and tokens[i].glued and not after


def _shouted(tokens: list[Token]) -> bool:
    words = [token.text for token in tokens if token.text.isalpha()]
    return len([w for w in words if len(w) > 3]) > 2 and all(w.isupper() for w in words)


def _holds_number(term: Term, closed: frozenset[str]) -> bool:
    """A term that keeps its words from being a grade ("C five", "one would expect")."""
    kinds = {r.kind for r in term.readings}
    keeps = {
        "site", "test", "after_site", "sign", "value", "detail", "take_back", "quality",
        "elsewhere", "foreign", "side", "trails",
    }  # fmt: skip
    return term.end - term.start > 1 and bool(kinds & (keeps | closed))


@lru_cache(maxsize=4)
def lattices_of(grammar: Grammar) -> Lattices:
    """The lattice maker of a grammar, built once."""
    return Lattices(grammar)
