"""Numbers that are no grades: of nerves, lines of a chart, points of a part."""

from __future__ import annotations

from dataclasses import replace

from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading
from dictate.parse.items import Item, folded
from dictate.parse.senses import Senses

#: Signs between two numbers of a range or a list.
_MARKS = {"-", "–", ","}


class Numbering(Senses):
    """Numbers beside what they count."""

    def _nerves(self, items: list[Item]) -> list[Item]:
        """ "CN II-XII", "cranial nerves two to twelve": numbers of nerves, and no grades."""
        numbered, numerals = self.numbered, self.numerals
        if not any(r.test in numbered for it in items for r in it.of_kind("test")):
            return items
        between = self.forms("between_numbers")
        out: list[Item] = []
        i = 0
        while i < len(items):
            out.append(items[i])
            item = items[i]
            i += 1
            if not any(r.test in numbered for r in item.of_kind("test")):
                continue
            j, end = i, i
            while j < len(items):
                it = items[j]
                if (
                    (it.grade is not None and not it.grade.sign and not it.grade.slash)
                    or it.text in numerals
                    or all(w in numerals for w in it.text.split())
                ):
                    end = j + 1
                elif it.text not in _MARKS and folded(it.text) not in between:
                    break
                j += 1
            if end > i:
                words = " ".join(it.text for it in items[i:end])
                out.append(Item(items[i].start, items[end - 1].end, words, ("DETAIL",)))
                i = end
        return out

    def _charts(self, items: list[Item]) -> list[Item]:
        """ "Six nine" beside a test on a chart: its line; "V2" beside a coma scale: a part."""
        scales = self._scales
        named = {
            scales[r.test].kind for it in items for r in it.of_kind("test") if r.test in scales
        }
        if not named & {"acuity", "total"}:
            return items
        acuity = [sc for sc in scales.values() if sc.kind == "acuity"]
        parts = {t: sc.parts for t, sc in scales.items() if sc.parts}
        out: list[Item] = []
        for it in items:
            last = out[-1] if out else None
            pair = (
                last is not None
                and last.grade is not None
                and it.grade is not None
                and last.end == it.start
            )
            if (
                pair
                and "acuity" in named
                and last is not None
                and last.grade is not None
                and it.grade is not None
            ):
                a, b = last.grade, it.grade
                line = any(
                    a.number in map(str, sc.first) and b.number in map(str, sc.second)
                    for sc in acuity
                )
                if line and not (a.of or b.of or a.sign or b.sign or a.unit or b.unit):
                    grade = replace(a, of=b.number, end=b.end)
                    out[-1] = Item(
                        last.start, it.end, f"{a.text}/{b.text}", ("VALUE",), grade=grade
                    )
                    continue
            words = it.text.split(" ")
            if "total" in named and "SITE" in it.roles and len(words) == 2 and words[1].isdigit():
                test, label = next(
                    ((t, k) for t, ps in parts.items() for k in ps if k.lower() == words[0]),
                    ("", ""),
                )
                if test:
                    out.append(
                        Item(
                            it.start,
                            it.start + 1,
                            words[0],
                            ("PART",),
                            (Reading("part", label, test),),
                        )
                    )
                    grade = Grade(words[1], "", it.start + 1, it.end)
                    out.append(Item(it.start + 1, it.end, words[1], ("VALUE",), grade=grade))
                    continue
            out.append(it)
        return out
