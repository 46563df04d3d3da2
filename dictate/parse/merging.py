"""Neighbouring items as one: nerves, lines of a chart, directions, comparisons, completed words."""

from __future__ import annotations

from dictate.interpret.lexicon import Reading
from dictate.parse.items import Item, both, folded, roles
from dictate.parse.numbering import Numbering

#: Signs between two unlike sides.
_MORE = frozenset("<>")


class Merging(Numbering):
    """Neighbouring items as one, where only together they mean something."""

    def _fillers(self, items: list[Item]) -> list[Item]:
        """ "Discs, well, I tried": a filler that is a value word elsewhere.

        With a place after it, and a value before it, it is the value ("..., fine at the ankles").
        """
        told = False
        for i, item in enumerate(items[:-1]):
            told = (told or (bool(i) and "VALUE" in items[i - 1].roles)) and item.roles[0] != "STOP"
            valued = {"VALUE", "FILLER"} <= set(item.roles)
            placed = valued and items[i + 1].roles[0] in ("PREP", "EDGE")
            if told and placed and i and items[i - 1].roles[0] in ("COMMA", "AND", "BUT"):
                item.roles = ("VALUE",)
            kinds = {r.kind for r in item.readings}
            if "FILLER" not in item.roles or not {"opening", "filler"} <= kinds:
                continue
            after = {r.kind for r in items[i + 1].readings}
            apart = items[i + 1].roles[0] == "COMMA" and (not i or items[i - 1].roles[0] == "COMMA")
            if after & {"first", "clause", "pronoun", "own"} or apart:
                item.roles = ("MISC",)
        return items

    def _merged(self, items: list[Item]) -> list[Item]:
        """ "Right gaze", "gaze to the left": a direction; "left more than right": unlike sides."""
        out: list[Item] = []
        items = self._charts(self._nerves(self._fillers(items)))
        i = 0
        while i < len(items):
            item = items[i]
            if "COMPARE" in item.roles:
                last = item.text.split(" ")[-1]
                j = i + 1
                while j < len(items) and items[j].roles[0] in ("MISC", "PREP"):
                    j += 1
                speech = self.grammar.speech
                if j < len(items) and "SIDE" in items[j].roles and not both(items[j]):
                    word = self.lexicon.readings.get((item.text.split(" ")[0],), ())
                    worse = tuple(r for r in word if r.kind == "value")
                    worse = worse if any(not r.test for r in worse) else ()
                    k = len(out) - 1
                    while (
                        k >= 0
                        and out[k].roles[0] not in ("COMMA", "STOP", "COLON", "AND")
                        and "VALUE" not in out[k].roles
                    ):
                        k -= 1
                    fresh = k < 0 or "VALUE" not in out[k].roles
                    if worse and fresh and last in speech.compare_more_ends:
                        split = item.end - 1
                        out.append(
                            Item(item.start, split, item.text.split(" ")[0], ("VALUE",), worse)
                        )
                        out.append(Item(split, item.end, last, ("PREP",)))
                        i += 1
                        continue
                    ends = last in speech.compare_ends or any(
                        it.text in speech.compare_ends for it in items[i + 1 : j]
                    )
                    more = last in speech.compare_more_ends or any(
                        it.text in speech.compare_more_ends for it in items[i + 1 : j]
                    )
                    if ends or more:
                        words = " ".join(it.text for it in items[i : j + 1])
                        out.append(
                            Item(
                                item.start,
                                items[j].end,
                                words,
                                ("DETAIL",) if ends else ("UNEVEN",),
                            )
                        )
                        i = self._there(items, j, out)
                        continue
            nxt = items[i + 1] if i + 1 < len(items) else None
            if (
                (
                    nxt is not None
                    and nxt.grade is not None
                    and any(r.kind == "becomes" for r in item.readings)
                    and out
                    and out[-1].grade is not None
                )
                and "SITE" not in item.roles
                and len(item.text.split(" ")) > 1
            ):
                words = f"{item.text} {nxt.text}"
                out.append(Item(item.start, nxt.end, words, ("DETAIL",)))
                i += 2
                continue
            toward = nxt is not None and any(r.kind == "direction" for r in nxt.readings)
            sided = i + 2 < len(items) and "SIDE" in items[i + 1].roles
            toward = toward or (sided and any(r.kind == "direction" for r in items[i + 2].readings))
            if both(item) and toward:
                out.append(Item(item.start, item.end, item.text, ("MISC",)))
                i += 1
                continue
            side = "SIDE" in item.roles
            if side and nxt is not None and any(r.kind == "direction" for r in nxt.readings):
                out.append(
                    Item(item.start, nxt.end, f"{item.text} {nxt.text}", ("DETAIL",), nxt.readings)
                )
                i += 2
                continue
            if any(r.kind == "direction" for r in item.readings):
                j = i + 1
                while j < len(items) and (items[j].roles[0] in ("MISC", "PREP", "EDGE", "RANGE")):
                    j += 1
                if j < len(items) and j > i + 1 and "SIDE" in items[j].roles and not both(items[j]):
                    out.append(
                        Item(
                            item.start,
                            items[j].end,
                            f"{item.text} {items[j].text}",
                            ("DETAIL",),
                            item.readings,
                        )
                    )
                    i = j + 1
                    continue
            if (
                side
                and i + 2 < len(items)
                and "SIDE" in items[i + 2].roles
                and any(r.kind == "either" for r in items[i + 1].readings)
            ):
                words = " ".join(it.text for it in items[i : i + 3])
                out.append(
                    Item(
                        item.start, items[i + 2].end, words, ("SIDE",), (Reading("trails", "both"),)
                    )
                )
                i += 3
                continue
            after = items[i + 2] if i + 2 < len(items) else None
            unlike = nxt is not None and nxt.text in _MORE
            if side and unlike and after is not None and nxt and "SIDE" in after.roles:
                words = f"{item.text} {nxt.text} {after.text}"  # "increased R > L"
                out.append(Item(item.start, after.end, words, ("UNEVEN",)))
                i += 3
                continue
            if side:
                j = i + 1
                while j < len(items) and items[j].roles[0] in ("MISC", "DEGREE"):
                    j += 1
                k = j + 1
                while k < len(items) and items[k].roles[0] in ("MISC", "PREP"):
                    k += 1
                toward = (
                    j < len(items)
                    and items[j].text.split(" ")[-1] in self.grammar.speech.compare_ends[1:3]
                )
                if (
                    j < len(items)
                    and "COMPARE" in items[j].roles
                    and not toward
                    and k < len(items)
                    and "SIDE" in items[k].roles
                ):
                    if items[j].text in self.grammar.speech.compare_ends:
                        out.append(item)  # "weaker on the left than the right": of the left alone
                        words = " ".join(it.text for it in items[j : k + 1])
                        out.append(Item(items[j].start, items[k].end, words, ("DETAIL",)))
                        i = self._there(items, k, out)
                        continue
                    words = " ".join(it.text for it in items[i : k + 1])
                    out.append(Item(item.start, items[k].end, words, ("UNEVEN",)))
                    i = self._there(items, k, out)
                    continue
            out.append(item)
            i += 1
        return out

    def _there(self, items: list[Item], at: int, out: list[Item]) -> int:
        """ "Compared with the right, where it is normal": "where" is that side.

        Args:
            items: Those of the utterance.
            at: The side of a comparison.
            out: Where the side and what stands before it are put once more.

        Returns:
            Where to go on.
        """
        i = at + 1
        while i < len(items) and items[i].roles[0] == "COMMA":
            i += 1
        there = self._classes.get("there", ())
        if i == len(items) or not any(
            folded(items[i].text)[:n] in there for n in range(1, len(folded(items[i].text)) + 1)
        ):
            return at + 1
        out.append(Item(items[i].start, items[i].start, ",", ("COMMA",)))
        out.append(Item(items[i].start, items[i].end, items[i].text, ("SIDE",), items[at].readings))
        return i + 1

    def _completed(self, items: list[Item]) -> list[Item]:
        """ "Knee flexion and extension", "limb or truncal ataxia": completed by its neighbour."""
        readings = self.lexicon.readings
        named: Item | None = None
        for i, item in enumerate(items):
            if item.roles[0] == "STOP":
                named = None
            if "SITE" in item.roles or "TEST" in item.roles:
                named = item
            if "SITE" in item.roles or "TEST" in item.roles or item.grade is not None:
                continue
            listed = i > 1 and items[i - 1].roles[0] in {"AND", "COMMA"}
            before = named if listed else None
            if before is not None and {"SITE", "TEST"} & set(before.roles):
                form = (*before.text.split(" ")[:-1], *item.text.split(" "))
                found = tuple(r for r in readings.get(form, ()) if r.kind in {"site", "test"})
                if found and len(form) > 1:
                    items[i] = Item(item.start, item.end, " ".join(form), roles(found), found)
                    continue
            after = (
                items[i + 2]
                if i + 2 < len(items) and items[i + 1].roles[0] in {"AND", "COMMA"}
                else None
            )
            if (
                after is not None
                and item.roles[0] in {"UNKNOWN", "MISC", "DETAIL"}
                and {"SITE", "TEST", "SIGN"} & set(after.roles)
            ):
                last = after.text.split(" ")[-1]
                found = tuple(
                    r
                    for r in readings.get((*item.text.split(" "), last), ())
                    if r.kind in {"site", "test", "sign"}
                )
                if found:
                    items[i] = Item(
                        item.start, item.end, f"{item.text} {last}", roles(found), found
                    )
        return items
