"""Pauses that nobody wrote: whether a side belongs to the value before it or after it.

"Deltoid five right four left biceps five right": a side may trail the value before it or lead the
one after it. Of all ways to give the sides of a stretch to its values, the one that is clearly the
most even is marked by commas of no width; where two are alike nothing is marked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading
from dictate.parse.items import Item

_ENDS = {"COMMA", "STOP", "COLON", "BUT", "EXCEPT", "ASIDE", "REASON", "TALK"}
_VALUES = {"VALUE", "TROUBLE", "NOTDONE", "DENIED"}
_NAMES = {"TEST", "SITE", "SIGN"}
#: Words that set one side against the other, or put right what was said.
_UNCLEAR = {"COMPARE", "UNEVEN", "REPLACE", "TAKEBACK", "SWAP", "CUE", "RANGE", "THOSE"}
#: What is uneven about a way to give sides to values. Common sense, no source.
_TURNED, _UNSIDED, _MIXED, _SIDELESS = 1.0, 1.0, 2.0, 2.0
#: The best way must be better than the next by so much.
_CLEAR = 0.75
#: More sides than that in one stretch are left alone: the ways double with each.
_MOST = 10


@dataclass(slots=True)
class _Beat:
    """What an item is in the row: S a side, V a value, N a name.

    ``need``: how much a name needs a side, from 0 to 1; -1: it takes none. Not ``done``: a
    value that says that a part was not examined, which needs no side.
    """

    kind: str
    start: int
    end: int
    need: float = 0.0
    done: bool = True


class Pauses:
    """Sets the pauses, by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Take the grammar, which knows what takes a side."""
        self._grammar = grammar

    def paused(self, items: list[Item]) -> list[Item]:
        """The items, with a comma between a value with its side and the next one."""
        cuts: set[int] = set()
        start = 0
        for i in range(len(items) + 1):
            if i == len(items) or items[i].roles[0] in _ENDS:
                cuts |= set(self._cuts(items, start, i))
                start = i + 1
        if not cuts:
            return items
        out: list[Item] = []
        for i, item in enumerate(items):
            if i in cuts:
                out.append(Item(item.start, item.start, ",", ("COMMA",)))
            out.append(item)
        return out

    def _cuts(self, items: Sequence[Item], start: int, end: int) -> list[int]:
        """Before which items of a stretch a comma belongs."""
        row = items[start:end]
        if not any("SIDE" in it.roles or _own_side(it) for it in row):
            return []
        if any(_UNCLEAR & set(it.roles) for it in row):
            return []
        beats = self._beats(items, start, end)
        sides = [i for i, b in enumerate(beats) if b.kind == "S"]
        if not 0 < len(sides) <= _MOST or sum(b.kind == "V" for b in beats) < 2:
            return []
        ways = sorted(
            (cost, way)
            for way in product("TL", repeat=len(sides))
            if (cost := _cost(beats, way)) is not None
        )
        if not ways or (len(ways) > 1 and ways[1][0] - ways[0][0] < _CLEAR):
            return []
        return self._between(items, beats, dict(zip(sides, ways[0][1], strict=True)))

    def _beats(self, items: Sequence[Item], start: int, end: int) -> list[_Beat]:
        beats: list[_Beat] = []
        for i in range(start, end):
            item = items[i]
            said = set(item.roles)
            if item.roles[0] == "SIDE":
                beats.append(_Beat("S", i, i + 1))
            elif said & _VALUES and not said & (_NAMES - {"SIGN"}):
                last = beats[-1] if beats else None
                one = "ONE" in said and last is not None and last.kind == "S"
                filler = "FILLER" in said and (last is None or last.kind != "S")
                if one or filler:
                    continue  # "the left one is sluggish", "well, the left ..."
                if last is not None and last.kind == "V" and item.grade is None:
                    last.end = i + 1
                else:
                    beats.append(_Beat("V", i, i + 1, done="NOTDONE" not in said))
            elif said & _NAMES:
                if _own_side(item):
                    beats.append(_Beat("S", i, i + 1))
                beats.append(_Beat("N", i, i + 1, self._need(item)))
        return beats

    def _between(
        self, items: Sequence[Item], beats: Sequence[_Beat], way: dict[int, str]
    ) -> list[int]:
        """Before which items the next value with its side begins.

        A side that trails its value may be that of a place ("reduced in the left ankle"): the
        place goes with it.
        """
        last = max(way)
        ends_placed = way[last] == "T" and last + 1 < len(beats) and beats[-1].kind == "N"
        cuts = []
        for i, beat in enumerate(beats[:-1]):
            end = i
            if beat.kind == "S" and way[i] == "T":
                named = beats[i + 1].kind == "N"
                if ends_placed and not named:
                    return []
                if named and _prepared(items, beat.end, beats[i + 1].start):
                    continue  # "brisk on the right at biceps and knee"
                placeless = named and _placeless(items, beats, i)
                follows = beats[i + 2].kind if i + 2 < len(beats) else "S"
                if placeless and follows != "S":
                    return []  # "tone increased both legs reflexes brisk both": of which one?
                if ends_placed or placeless or (named and self._placed(items, beats, i)):
                    end = i + 1
            elif not (beat.kind == "V" and beats[i + 1].kind == "S" and way[i + 1] == "L"):
                continue
            stop = beats[end + 1].start if end + 1 < len(beats) else None
            if stop is not None and not _joined(items, beats[end].end, stop):
                cuts.append(beats[end].end)
        return cuts

    def _placed(self, items: Sequence[Item], beats: Sequence[_Beat], i: int) -> bool:
        """ "In the right great toe": a word of place, a side, and its site right after it."""
        side, site = items[beats[i].start], items[beats[i + 1].start]
        k = beats[i].start - 1
        while k >= 0 and items[k].roles[0] == "MISC":
            k -= 1
        place = k >= 0 and items[k].roles[0] in ("PREP", "EDGE")
        of_side = place and items[k].text in self._grammar.speech.before_side
        return place and not of_side and "SITE" in site.roles and site.start == side.end

    def _need(self, item: Item) -> float:
        """How much a name needs a side."""
        needs: list[float] = []
        for r in item.readings:
            if r.kind in ("test", "sign") and r.test:
                rule = self._grammar.tests[r.test].side
                whole = 0.5 if r.plural else 1.0
                needs.append({"none": -1.0, "said": 0.0, "abnormal": 0.5}.get(rule, whole))
            elif r.kind == "site":
                needs.append(self._of_site(r))
        return max(needs, default=0.0)

    def _of_site(self, r: Reading) -> float:
        entry = self._grammar.groups[r.group].sites.get(r.id) if r.group else None
        if entry is None:
            return -1.0 if self._grammar.tests[r.test].side == "none" else 0.5
        return 0.0 if entry.unsided else 0.5 if r.plural else 1.0


def _cost(beats: Sequence[_Beat], way: Sequence[str]) -> float | None:
    """How uneven it is to give the sides so; None where it is not possible."""
    of: dict[int, int] = {}
    ways = iter(way)
    core = [i for i, b in enumerate(beats) if b.kind != "N"]
    for at, i in enumerate(core):
        if beats[i].kind != "S":
            continue
        k = at - 1 if next(ways) == "T" else at + 1
        if not 0 <= k < len(core) or beats[core[k]].kind != "V" or core[k] in of:
            return None
        of[core[k]] = i
    cost = _TURNED * sum(a != b for a, b in pairwise(way))
    need = 0.0
    known: list[bool] = []
    for i, beat in enumerate(beats):
        if beat.kind == "N":
            fresh = i == 0 or beats[i - 1].kind != "N"
            need = beat.need if fresh else max(need, beat.need)
            known = []
        elif beat.kind == "V":
            sided = i in of
            cost += _SIDELESS * (sided and need < 0) + _UNSIDED * max(need, 0.0) * (
                not sided and beat.done
            )
            cost += _MIXED * any(one != sided for one in known)
            known.append(sided)
    return cost


def _placeless(items: Sequence[Item], beats: Sequence[_Beat], i: int) -> bool:
    """ "Reduced left big toe": a site right after a side, and the test before it has none yet."""
    side, site = items[beats[i].start], items[beats[i + 1].start]
    if "SITE" not in site.roles or site.start != side.end:
        return False
    name = next((b for b in reversed(beats[:i]) if b.kind == "N"), None)
    roles = items[name.start].roles if name is not None else ()
    before = items[name.start - 1].roles if name is not None and name.start else ()
    return "TEST" in roles and "SITE" not in roles and "SITE" not in before


def _prepared(items: Sequence[Item], start: int, stop: int) -> bool:
    """A word of place stands between them: what follows is where."""
    return any(items[k].roles[0] == "PREP" for k in range(start, stop))


def _joined(items: Sequence[Item], start: int, stop: int) -> bool:
    """A joining word stands between them."""
    return any(items[k].roles[0] == "AND" for k in range(start, stop))


def _own_side(item: Item) -> bool:
    """ "RUE": a site that says its side."""
    sites = [r for r in item.readings if r.kind == "site"]
    return bool(sites) and all(r.side for r in sites)
