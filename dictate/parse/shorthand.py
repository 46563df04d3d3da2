"""Signs and short forms of typed notes: dashes, brackets, arrows, ranges, "w/", "x2", "R>L"."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.lexicon import Reading, Term
from dictate.interpret.tokens import Token, norms
from dictate.parse.items import Item, both, roles
from dictate.parse.senses import Senses

_DASHES = {"-", "–", "—", "−"}
#: What a bracket may hold to be no more than a remark on what stands before it.
_REMARK = {"UNKNOWN", "MISC", "COMMA", "DETAIL", "DEGREE", "AND", "PREP", "TALK", "FILLER"}
#: So many tokens after a short form its grade or value must begin.
_NEAR = 2


class Shorthand(Senses):
    """Reads the signs of typed notes."""

    def short_forms(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        """ "fdi two plus", "eom full": a short form in small letters, right before its value.

        Only where the word means nothing else.
        """
        taken = {i for term in terms for i in range(term.start, term.end)}
        found: list[Term] = []
        starts = {term.start: term for term in terms}
        for i, token in enumerate(tokens):
            key = (token.norm,)
            readings = tuple(self.lexicon.capitals.get(key, ()))
            known = i in taken or token.norm in self._plain or key in self._harmless
            named = any(r.kind in ("site", "test") for r in readings)
            if not known and named and len(key[0]) > 1 and self._valued(tokens, starts, i + 1):
                found.append(Term(i, i + 1, token.norm, readings))
        return sorted([*terms, *found], key=lambda term: term.start)

    def _valued(self, tokens: Sequence[Token], starts: dict[int, Term], i: int) -> bool:
        """A grade or a value begins at ``i``, a side may stand before it."""
        for k in range(i, min(i + _NEAR, len(tokens))):
            if tokens[k].norm in self._grades.words or tokens[k].norm.isdigit():
                return True
            term = starts.get(k)
            kinds = {r.kind for r in term.readings} if term is not None else set()
            if kinds & {"value", "not_tested", "unable"}:
                return True
            if not kinds & {"side", "trails"}:
                return False
        return False

    def typed(self, tokens: Sequence[Token], items: list[Item]) -> list[Item]:
        """The items, with the signs of typed notes as what they mean."""
        items = self._remarks(items)
        out: list[Item] = []
        i = 0
        while i < len(items):
            end, item = self._sign(tokens, items, i, out)
            out.append(item)
            i = end
        return out

    def _sign(
        self, tokens: Sequence[Token], items: list[Item], i: int, before: list[Item]
    ) -> tuple[int, Item]:
        """The next item, and where the one after it begins."""
        item = items[i]
        nxt = items[i + 1] if i + 1 < len(items) else None
        last = before[-1] if before else None
        glued = nxt is not None and nxt.start < len(tokens) and tokens[nxt.start].glued
        if item.text in _DASHES and nxt is not None and last is not None:
            sites = "SITE" in last.roles and "SITE" in nxt.roles
            if sites and glued and tokens[item.start].glued:
                return i + 1, Item(item.start, item.end, "-", ("RANGE",))
            spaced = not glued and not tokens[item.start].glued
            named = last.roles[0] in ("TEST", "SITE", "SIGN", "SIDE")  # "triceps R - absent"
            marked = named or nxt.roles[0] in ("COMMA", "STOP")
            if item.roles[0] == "MISC" and spaced and not marked:
                return i + 1, Item(item.start, item.end, ",", ("COMMA",))
        if item.text in {".", "…"}:
            k = i + 1
            while k < len(items) and items[k].text == "." and tokens[items[k].start].glued:
                k += 1
            if k - i > 1 or item.text == "…":
                return k, Item(item.start, items[k - 1].end, ",", ("COMMA",))
        if item.text == "w" and nxt is not None and nxt.text == "/" and glued:
            return self._with(tokens, items, i)
        if _side(item) and nxt is not None and nxt.text in {">", "<"} and i + 2 < len(items):
            other = items[i + 2]
            if _side(other) and _side(item) != _side(other):
                words = f"{item.text} {nxt.text} {other.text}"
                return i + 3, Item(item.start, other.end, words, ("UNEVEN",))
        if norms(item.text) in self._classes.get("twice", ()) and not _takes(items, item):
            return i + 1, Item(
                item.start, item.end, "both", ("SIDE",), (Reading("trails", "both"),)
            )
        return i + 1, item

    def _with(self, tokens: Sequence[Token], items: list[Item], i: int) -> tuple[int, Item]:
        """ "w/ clonus", "w/o clonus"."""
        after = items[i + 2] if i + 2 < len(items) else None
        if after is not None and after.text == "o" and tokens[after.start].glued:
            deny = tuple(r for r in self.lexicon.readings.get(("without",), ()))
            return i + 3, Item(items[i].start, after.end, "without", roles(deny), deny)
        return i + 2, Item(items[i].start, items[i + 1].end, "with", ("PREP",))

    def _remarks(self, items: list[Item]) -> list[Item]:
        """ "Hip flexion 4 (old fracture)": words in brackets that state nothing are a detail."""
        out: list[Item] = []
        i = 0
        while i < len(items):
            if items[i].text == "(" and out:
                k = i + 1
                while k < len(items) and items[k].text != ")" and items[k].roles[0] in _REMARK:
                    k += 1
                closed = k < len(items) and items[k].text == ")" and k > i + 1
                plain = all(set(it.roles) <= _REMARK for it in items[i + 1 : k])
                if closed and plain and any(it.roles[0] == "UNKNOWN" for it in items[i + 1 : k]):
                    words = " ".join(it.text for it in items[i + 1 : k])
                    out.append(Item(items[i + 1].start, items[k - 1].end, words, ("DETAIL",)))
                    i = k + 1
                    continue
            out.append(items[i])
            i += 1
        return out


def _side(item: Item) -> str:
    """The one side that an item says."""
    sides = {r.id for r in item.readings if r.kind == "side"}
    alone = item.roles[0] == "SIDE" and not both(item) and len(sides) == 1
    return sides.pop() if alone else ""


def _takes(items: Sequence[Item], item: Item) -> bool:
    """A test that counts its own things so ("oriented x2") stands in the sentence."""
    own = {r.test for r in item.readings if r.kind == "site" and r.test}
    named = (it for it in items if {"TEST", "SIGN"} & set(it.roles))
    return any(r.test in own for it in named for r in it.readings)
