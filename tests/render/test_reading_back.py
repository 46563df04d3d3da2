"""What a reader takes from a sentence of grades is what the record holds, no more and no less.

The reader here knows the names of sites and grades and how English puts sides, and nothing of
how the note was made.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.grammar import Grammar
from dictate.grammar.names import value_words
from dictate.model import Finding, Record
from dictate.render.sections import write_sections

#: (site, side, grade)
Said = tuple[str | None, str | None, str]


class Reader:
    """Reads one sentence from left to right."""

    def __init__(self, grammar: Grammar, test: str) -> None:
        """Learn the names."""
        scale = grammar.scales[str(grammar.tests[test].scale)]
        self.grades = {value_words(grammar, test, grade): grade for grade in scale.grades}
        self.sites = {
            name: site
            for site, spec in grammar.sites_of(test).items()
            for name in (spec.name, spec.names)
            if name is not None and site != "all"
        }
        self.found: set[Said] = set()
        self.grade, self.side, self.preposition = "", None, ""
        self.waiting: list[str] = []

    def read(self, text: str) -> set[Said]:
        """Everything that the sentence says."""
        names = sorted([*self.sites, *self.grades], key=len, reverse=True)
        words = "|".join([*map(re.escape, names), "right|left|bilaterally|throughout|in|at|on"])
        for token in re.findall(rf"(?<![\w/+])(?:{words})(?![\w/+-])", text):
            self._take(token)
        self._flush(self.side)
        return self.found

    def _take(self, token: str) -> None:
        if token in self.sites:
            self.waiting.append(self.sites[token])
        elif token == "throughout":
            self.found.add(("all", None, self.grade))
        elif token == "bilaterally":
            self._flush("right", "left")
        elif token in ("right", "left") and self.preposition == "on":
            self._flush(token)
        elif token in ("right", "left"):
            self.side = token
        elif token == "on":
            self.preposition = token
        else:
            self._flush(self.side)
            self.side, self.preposition = None, token
            self.grade = self.grades.get(token, self.grade)

    def _flush(self, *sides: str | None) -> None:
        self.found |= {(site, side, self.grade) for site in self.waiting for side in sides}
        self.waiting.clear()


def graded(grammar: Grammar, test: str) -> st.SearchStrategy[list[Finding]]:
    """Findings of one test with grades, one for each place."""
    scale = grammar.scales[str(grammar.tests[test].scale)]
    sites = grammar.sites_of(test)
    places = [
        (site, side)
        for site, spec in sites.items()
        for side in ([None] if spec.unsided else ["right", "left"])
    ]
    chosen = st.dictionaries(st.sampled_from(places), st.sampled_from(scale.grades), max_size=9)
    return chosen.map(
        lambda found: [
            Finding(test, site, side, grade, (), grade in scale.normal)
            for (site, side), grade in found.items()
        ]
    )


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
@pytest.mark.parametrize("test", ["strength", "stretch_reflex"])
def test_a_reader_takes_from_the_note_what_the_record_holds(
    small: Grammar, data: st.DataObject, test: str
) -> None:
    findings = data.draw(graded(small, test))
    texts = [
        sentence.text
        for section in write_sections(Record(tuple(findings)), small)
        for row in section.paragraphs
        for sentence in row
    ]
    read = {said for text in texts for said in Reader(small, test).read(text)}
    assert read == {(found.site, found.side, found.value) for found in findings}, texts


def test_the_reader_can_tell_a_wrong_note(small: Grammar) -> None:
    text = "Strength 4/5 in the right biceps and triceps; 5/5 in the arms bilaterally"
    said = Reader(small, "strength").read(text)
    assert said == {
        ("biceps", "right", "4"),
        ("triceps", "right", "4"),
        ("upper_limb", "right", "5"),
        ("upper_limb", "left", "5"),
    }
