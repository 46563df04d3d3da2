"""Words that point at what was named before: "all of those", "the same four", "other leg"."""

from __future__ import annotations

from dataclasses import replace

from dictate.interpret.lexicon import Reading
from dictate.model import OTHER_SIDE
from dictate.parse.items import Item, Lattice, both, folded, roles
from dictate.parse.senses import Senses


class Pointing(Senses):
    """Items that point, put together where only together they mean something."""

    def pointed(self, items: list[Item]) -> list[Item]:
        """The items, with what points back as one item each."""
        return self._other_limb(self._those(self._joined(self._fractions(items))))

    def _fractions(self, items: list[Item]) -> list[Item]:
        """ "Three by three": so many out of so many."""
        out: list[Item] = []
        for i, item in enumerate(items):
            last = out[-2] if len(out) > 1 and self._is(items[i - 1], "out_of") else None
            a, b = (last.grade if last is not None else None), item.grade
            if last is None or a is None or b is None or a.of or b.of or a.unit or b.unit:
                out.append(item)
                continue
            grade = replace(a, of=b.number, of_sign=b.sign, end=b.end)
            text = f"{last.text} {items[i - 1].text} {item.text}"
            out[-2:] = [Item(last.start, item.end, text, ("VALUE",), grade=grade)]
        return out

    def _joined(self, items: list[Item]) -> list[Item]:
        """ "Hands + feet": a plus between two sites joins them; "from T6 down" is one edge."""
        from_edge = False
        for i, item in enumerate(items):
            role = item.roles[0]
            plus = item.text == "+" and role == "VALUE"
            around = 0 < i < len(items) - 1
            if plus and around and "SITE" in items[i - 1].roles and "SITE" in items[i + 1].roles:
                items[i] = Item(item.start, item.end, item.text, ("AND",))
            elif around and self._is(item, "there_is") and self._named(items, i):
                items[i] = Item(
                    item.start, item.end, item.text, ("VALUE",), (Reading("value", "present"),)
                )
            elif (self._is(item, "also_denied") and _denied_before(items, i)) or (
                from_edge and self._is(item, "edge_after") and "SITE" in items[i - 1].roles
            ):
                items[i] = Item(item.start, item.end, item.text, ("MISC",))
            if role == "EDGE":
                from_edge = True
            elif "SITE" not in item.roles and role not in ("MISC", "DETAIL", "SIDE"):
                from_edge = False
        return items

    def _named(self, items: list[Item], i: int) -> bool:
        """A test stands right before, and nothing that is asked for right after."""
        after = items[i + 1].roles[0]
        return "TEST" in items[i - 1].roles and after in ("COMMA", "STOP", "SIDE", "PREP", "AND")

    def _is(self, item: Item, name: str) -> bool:
        """The item is a form of a closed class."""
        return folded(item.text) in self._classes.get(name, ())

    def _those(self, items: list[Item]) -> list[Item]:
        """ "Both of those", "the same four muscles", in a sentence with a value of its own."""
        out: list[Item] = []
        i = 0
        while i < len(items):
            end = self._that_many(items, i)
            end = max(end, self._alone(items, i))
            if end > i and _valued(items, i, end):
                words = " ".join(it.text for it in items[i:end])
                numbers = [it.grade for it in items[i:end] if it.grade is not None]
                number = int(numbers[0].number) if numbers else 2 if _says_both(items[i]) else 0
                item = Item(items[i].start, items[end - 1].end, words, ("THOSE",))
                item.readings = (Reading("those", str(number or "")),)
                out.append(item)
                i = end
                continue
            out.append(items[i])
            i += 1
        return out

    def _alone(self, items: list[Item], i: int) -> int:
        """Where words end that point at several things as long as nothing is named beside them."""
        words: tuple[str, ...] = ()
        end, forms = i, self._classes.get("those_alone", ())
        for k in range(i, min(i + 3, len(items))):
            words = (*words, *folded(items[k].text))
            end = k + 1 if words in forms else end
        return end if end > i and _only_side(items, i) else i

    def _that_many(self, items: list[Item], i: int) -> int:
        """Where words that point at several things end; ``i`` where none begin there."""
        first = folded(items[i].text)
        whole = first in self._classes.get("those", ())
        begins = first in self._classes.get("those_begin", ())
        if not (whole or begins):
            return i
        end, some = i + 1, whole
        j = end
        while j < len(items):
            item = items[j]
            grade = item.grade
            plain = grade is not None and not (grade.sign or grade.of or grade.slash or grade.unit)
            counts = plain and grade is not None and grade.number in _COUNTS
            follows = j + 1 < len(items) and self._counted(items[j + 1])
            verb = j + 1 < len(items) and items[j + 1].roles[0] == "MISC"
            if (counts and (follows or verb)) or self._counted(item):
                j += 1
                end, some = j, True
            elif item.roles[0] == "HESITATION" or folded(item.text) in self._classes["those_begin"]:
                j += 1
            else:
                break
        return end if some else i

    def _counted(self, item: Item) -> bool:
        return folded(item.text) in self._classes.get("those_noun", ())

    def _other_limb(self, items: list[Item]) -> list[Item]:
        """ "Other leg is five": a limb of the other side, where a value comes after it."""
        out: list[Item] = []
        for i, item in enumerate(items):
            words = folded(item.text)
            limb = self.lexicon.readings.get(words[-1:], ()) if len(words) > 1 else ()
            sites = tuple(r for r in limb if r.kind in ("site", "test"))
            flips = any(r.kind == "flip" for r in item.readings)
            if flips and sites and words[-2] == "other" and _valued(items, i, i + 1):
                cut = item.end - 1
                out.append(
                    Item(
                        item.start,
                        cut,
                        " ".join(words[:-1]),
                        ("SIDE",),
                        (Reading("side", "other"),),
                    )
                )
                out.append(Item(cut, item.end, words[-1], roles(sites), sites))
                continue
            out.append(item)
        return out


def _only_side(items: list[Item], i: int) -> bool:
    """Nothing is named in the sentence but one side."""
    stops = [k for k, item in enumerate(items) if item.roles[0] == "STOP"]
    start = max((k for k in stops if k < i), default=-1)
    row = items[start + 1 : min((k for k in stops if k > i), default=len(items))]
    sides = [r.id for item in row for r in item.readings if item.roles[0] == "SIDE"]
    named = any({"TEST", "SITE", "SIGN"} & set(item.roles) for item in row)
    return not named and len({*sides} & {*OTHER_SIDE}) == 1


def _denied_before(items: list[Item], i: int) -> bool:
    """ "He can't do heel walking either": at the end of a sentence that denies."""
    if i + 1 < len(items) and items[i + 1].roles[0] not in ("COMMA", "STOP"):
        return False
    start = max((k for k in range(i) if items[k].roles[0] == "STOP"), default=-1)
    return any({"DENY", "DENIED", "NOTDONE"} & set(it.roles) for it in items[start + 1 : i])


#: Numbers of things that a sentence points back at.
_COUNTS = frozenset("23456789")


def _says_both(item: Item) -> bool:
    return "both" in item.text.split(" ")


def _valued(items: list[Item], start: int, end: int) -> bool:
    """A value stands in the same sentence, outside the words from ``start`` to ``end``."""
    for step, at in ((-1, start - 1), (1, end)):
        while 0 <= at < len(items) and items[at].roles[0] != "STOP":
            if items[at].roles[0] in ("VALUE", "NOTDONE"):
                return True
            at += step
    return False


def with_that_side(lattice: Lattice, last: str | None) -> None:
    """ "On that side": the side that was spoken last, in this utterance or before it."""
    for item in lattice.items:
        if "SIDE" not in item.roles:
            sides = {r.side for r in item.readings if r.side in OTHER_SIDE}
            last = sides.pop() if len(sides) == 1 and "SITE" in item.roles else last
            continue
        if any(r.id == "that" for r in item.readings):
            if last is None:
                item.roles, item.readings = ("UNKNOWN",), ()
            else:
                item.readings = (Reading("side", last),)
            continue
        said = [r.id for r in item.readings if r.kind == "side"]
        last = None if both(item) else said[0] if said and said[0] in OTHER_SIDE else last
