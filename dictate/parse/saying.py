"""The words that said a finding, and its details."""

from __future__ import annotations

from dictate.interpret.totals import TOTAL
from dictate.model import Place
from dictate.parse.categories import Claim, Span
from dictate.parse.found import Found
from dictate.parse.items import Item, Lattice
from dictate.parse.targets import Target
from dictate.resolve.fit import beside_word
from dictate.resolve.places import part_text, place_at


class Saying(Found):
    """Where a finding was said, and how."""

    def _said(
        self, lattice: Lattice, claim: Claim, target: Target, extra: list[Place]
    ) -> tuple[Place, ...]:
        tokens: set[int] = set()
        spans = [
            *target.name.spans,
            *(v.span for v in claim.values),
            *claim.degrees,
            *claim.reasons,
        ]
        spans += [span for _, span in claim.details]
        if claim.pside_span:
            spans.append(claim.pside_span)
        for p in claim.places:
            spans += p.spans
        for part, points in claim.parts:
            spans += [(part.start, part.end), (points.start, points.end)]
        for a, b in spans:
            tokens.update(range(a, b))
        out = list(extra)
        run: list[int] = []
        for i in [*sorted(tokens), -1]:
            if run and i != run[-1] + 1:
                out.append(self.place(lattice, (run[0], run[-1] + 1)))
                run = []
            if i >= 0:
                run.append(i)
        return tuple(dict.fromkeys(out))

    def place(self, lattice: Lattice, span: Span) -> Place:
        """A token span as a place."""
        a, b = span
        return place_at(lattice.utterance, lattice.tokens[a].start, lattice.tokens[b - 1].end)

    def _details(
        self, lattice: Lattice, claim: Claim, target: Target, test: str, value: str
    ) -> tuple[str, ...]:
        found: list[tuple[int, str]] = []
        for item, span in claim.details:
            label = next((r.id for r in item.readings if r.kind == "detail" and r.test == test), "")
            found.append((span[0], label or lattice.text(*span)))
        for span in [*claim.degrees, *claim.reasons, *claim.compare]:
            found.append((span[0], lattice.text(*span)))
        for a, b in target.name.spans:
            for item in lattice.items:
                if item.start == a and item.end == b:
                    found += [
                        (a, r.id) for r in item.readings if r.kind == "detail" and r.test == test
                    ]
        if claim.rest:
            found.append((-1, "the rest"))
        for p, v in claim.parts:
            part = p.of_kind("part")[0]
            if v.grade is not None and part.id != TOTAL:
                found.append((p.start, part_text(part.id, v.grade.number)))
        for val in claim.values:
            item2: Item | None = val.item
            # one that is carried over from another utterance has no words in this one
            if item2 is not None and item2.end <= len(lattice.tokens):
                for r in item2.readings:
                    if r.kind in ("detail",) and r.test == test:
                        found.append((item2.start, r.id))
                if beside_word(self.grammar, test, value, item2.grade):
                    found.append((item2.start, lattice.text(item2.start, item2.end)))
                if item2.grade is not None and item2.grade.extra:
                    found.append((item2.start, lattice.text(*item2.grade.extra)))
                if (
                    item2.grade is None
                    and value not in item2.text.replace(" ", "_")
                    and self.grammar.tests[test].values.get(value)
                ):
                    own = self.grammar.tests[test].values[value]
                    if item2.text in own.spoken and own.normal is False:
                        found.append((item2.start, lattice.text(item2.start, item2.end)))
        return tuple(dict.fromkeys(text for _, text in sorted(found, key=lambda pair: pair[0])))
