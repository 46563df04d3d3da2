"""Laws of the note over records that nobody thought of, from a small grammar and the real one."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from dictate.grammar import Grammar
from dictate.grammar.names import NOT_DONE, value_words
from dictate.model import Finding, Record, Side
from dictate.render.clauses import Sentence
from dictate.render.note import write_note
from dictate.render.sections import write_sections

# hypothesis shows the arguments of what it draws, and a grammar is long
pytestmark = pytest.mark.filterwarnings("ignore:Generating overly large repr")
LAW = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
WORD = r"[\w+/-]+"
OTHER: dict[str, Side] = {"right": "left", "left": "right"}
DETAILS = ("mild", "mildly", "up to the mid shin", "to light", "old")
NUMBERS = {"count": ["2/3", "7"], "total": ["14"], "acuity": ["20/40"], "measure": ["3 mm"]}


@pytest.fixture(params=["small", "whole"])
def grammar(request: pytest.FixtureRequest) -> Grammar:
    """Each law holds for both."""
    found: Grammar = request.getfixturevalue(request.param)
    return found


def values_of(grammar: Grammar, test: str) -> list[str]:
    """Every value that a finding of the test may have, numbers by example."""
    spec = grammar.tests[test]
    found = [*spec.values, *NOT_DONE]
    if spec.scale is not None:
        scale = grammar.scales[spec.scale]
        found += [*scale.grades, *NUMBERS.get(scale.kind, [])]
    return found


def sides_of(grammar: Grammar, test: str, site: str | None) -> list[Side | None]:
    """The sides that a finding of the test may have at a site."""
    spec = grammar.tests[test]
    unsided = site is not None and grammar.sites_of(test)[site].unsided
    if unsided or {spec.side, *spec.sided_values.values()} == {"none"}:
        return [None]
    return ["right", "left"] if spec.side == "needed" else [None, "right", "left"]


def normal_of(grammar: Grammar, test: str, value: str) -> bool | None:
    """What the grammar says of a value."""
    spec = grammar.tests[test]
    if value in spec.values:
        return spec.values[value].normal
    if spec.scale is None or value in NOT_DONE:
        return None
    scale = grammar.scales[spec.scale]
    return value in scale.normal if scale.kind == "grades" and value not in scale.either else None


@st.composite
def one_finding(draw: st.DrawFn, grammar: Grammar, tests: tuple[str, ...]) -> Finding:
    """A finding that the contract allows."""
    test = draw(st.sampled_from(tests))
    site = draw(st.sampled_from(list(grammar.sites_of(test)) or [None]))
    value = draw(st.sampled_from(values_of(grammar, test)))
    side = draw(st.sampled_from(sides_of(grammar, test, site)))
    detail = draw(st.lists(st.sampled_from(DETAILS), max_size=2, unique=True))
    return Finding(test, site, side, value, tuple(detail), normal_of(grammar, test, value))


def records(grammar: Grammar, *tests: str) -> st.SearchStrategy[Record]:
    """Records without conflicts: one value for a test, site and side."""
    finding = one_finding(grammar, tests or tuple(grammar.tests))
    found = st.lists(finding, max_size=10, unique_by=lambda f: (f.test, f.site, f.side))
    return found.map(lambda findings: Record(tuple(findings)))


def sentences(record: Record, grammar: Grammar) -> list[Sentence]:
    """All sentences of findings."""
    sections = write_sections(record, grammar)
    return [one for section in sections for row in section.paragraphs for one in row]


@LAW
@given(data=st.data())
def test_every_finding_is_in_exactly_one_sentence(grammar: Grammar, data: st.DataObject) -> None:
    record = data.draw(records(grammar))
    stated = [found for one in sentences(record, grammar) for found in one.findings]
    assert Counter(stated) == Counter(record.findings)


@LAW
@given(data=st.data())
def test_sides_are_those_of_the_findings(grammar: Grammar, data: st.DataObject) -> None:
    for one in sentences(data.draw(records(grammar)), grammar):
        said = set(re.findall(r"\b(?:right|left)\b", one.text.casefold()))
        if re.search(r"\b(?:bilaterally|both)\b", one.text):
            said |= {"right", "left"}
        assert said == {found.side for found in one.findings if found.side}, one.text


@LAW
@given(data=st.data())
def test_values_and_details_are_those_of_the_findings(
    grammar: Grammar, data: st.DataObject
) -> None:
    for one in sentences(data.draw(records(grammar)), grammar):
        text = one.text.casefold()
        allowed = set(DETAILS)
        for found in one.findings:
            spec, site = grammar.tests[found.test], grammar.sites_of(found.test).get(found.site)
            value = value_words(grammar, found.test, found.value)
            allowed |= {value, spec.name, *((site.name, site.names) if site else ())} - {None}
            own = found.value in spec.values and spec.values[found.value].note is not None
            sign = spec.named is not None and found.value in (spec.named, spec.denied)
            assert own or sign or value.casefold() in text, one.text
            assert all(detail in text for detail in found.detail), one.text
        numbers = re.findall(r"[a-z]?\d[\d/+-]*", text)
        assert all(number in " ".join(allowed).casefold() for number in numbers), one.text


@LAW
@given(data=st.data())
def test_the_mirrored_record_gives_the_mirrored_note(grammar: Grammar, data: st.DataObject) -> None:
    record = data.draw(records(grammar))
    mirrored = [replace(f, side=OTHER[f.side] if f.side else None) for f in record.findings]
    note = re.sub(r"\b(?:right|left)\b", lambda m: OTHER[m[0]], write_note(record, grammar))
    there = write_note(Record(tuple(mirrored)), grammar)
    assert Counter(re.findall(WORD, note)) == Counter(re.findall(WORD, there))


@LAW
@given(data=st.data())
def test_the_order_of_speaking_changes_nothing_that_is_said(
    grammar: Grammar, data: st.DataObject
) -> None:
    record = data.draw(records(grammar))
    shuffled = Record(tuple(data.draw(st.permutations(record.findings))))
    here, there = write_note(record, grammar), write_note(shuffled, grammar)
    assert Counter(re.findall(WORD, here.casefold())) == Counter(re.findall(WORD, there.casefold()))


@st.composite
def changed(draw: st.DrawFn, grammar: Grammar, finding: Finding) -> Finding:
    """The same finding with one thing about it changed."""
    test, kind = finding.test, draw(st.sampled_from(["value", "side", "site", "detail"]))
    if kind == "value":
        value = draw(st.sampled_from(values_of(grammar, test)))
        return replace(finding, value=value, normal=normal_of(grammar, test, value))
    if kind == "side":
        return replace(finding, side=draw(st.sampled_from(sides_of(grammar, test, finding.site))))
    if kind == "detail":
        return replace(finding, detail=draw(st.sampled_from([(), ("old",), ("mild", "old")])))
    site = draw(st.sampled_from(list(grammar.sites_of(test)) or [None]))
    assume(finding.side in sides_of(grammar, test, site))
    return replace(finding, site=site)


@LAW
@given(data=st.data())
def test_any_change_of_one_finding_shows(grammar: Grammar, data: st.DataObject) -> None:
    record = data.draw(records(grammar))
    assume(record.findings)
    index = data.draw(st.integers(0, len(record.findings) - 1))
    old = record.findings[index]
    new = data.draw(changed(grammar, old))
    rest = record.findings[:index] + record.findings[index + 1 :]
    places = {(found.test, found.site, found.side) for found in rest}
    # the order of details says nothing
    same = replace(new, detail=tuple(sorted(new.detail))) == replace(
        old, detail=tuple(sorted(old.detail))
    )
    assume(not same and (new.test, new.site, new.side) not in places)
    other = Record((*rest[:index], new, *rest[index:]))
    assert write_note(record, grammar) != write_note(other, grammar), (old, new)


@pytest.mark.parametrize(
    ("test", "site", "side", "expected"),
    [
        ("tone", "all", None, "Tone not tested"),
        ("alertness", None, None, "Alertness not tested"),
        ("orientation", "time", None, "Orientation to time not tested"),
        ("stretch_reflex", "knee", "left", "Reflexes not tested at the left knee"),
        ("plantar", None, "left", "Plantar response not tested on the left"),
    ],
)
def test_what_was_not_done_is_named_and_placed(
    small: Grammar, test: str, site: str | None, side: Side | None, expected: str
) -> None:
    record = Record((Finding(test, site, side, "not_tested"),))
    assert [one.text for one in sentences(record, small)] == [expected]


def test_a_summary_is_not_missing_where_a_part_of_it_was_mentioned(whole: Grammar) -> None:
    part = Record((Finding("finger_to_nose", None, "left", "dysmetric", (), False),))
    missing = write_note(part, whole).split("No finding recorded for:")[1]
    assert not re.search(r"\bcoordination\b", missing)
    assert "heel to shin" in missing
    assert re.search(r"\bcoordination\b", write_note(Record(), whole))
