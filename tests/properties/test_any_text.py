"""Laws for any text at all: it ends in a record, always the same one, that can be traced."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.grammar.schema import Site
from dictate.interpret.tokens import norms
from dictate.model import QUESTION_KINDS, UTTERANCE_KINDS, Record
from dictate.render import RENDERERS, read_record

from .strategies import GRAMMAR, hear, sayings, words

LINES = st.lists(sayings(), min_size=1, max_size=4)
ANYTHING = st.lists(st.one_of(st.text(max_size=60), sayings()), min_size=1, max_size=4)


@given(ANYTHING)
def test_any_text_gives_a_record(lines: list[str]) -> None:
    record = hear(*lines)
    assert [utterance.text for utterance in record.utterances] == lines
    assert all(utterance.kind in UTTERANCE_KINDS for utterance in record.utterances)
    assert all(question.kind in QUESTION_KINDS for question in record.questions)
    assert len({question.id for question in record.questions}) == len(record.questions)


@given(ANYTHING)
def test_any_record_can_be_written(lines: list[str]) -> None:
    record = hear(*lines)
    for name in ("note", "markdown", "record"):
        assert RENDERERS[name].function(record, GRAMMAR)
    written = RENDERERS["record"].function(record, GRAMMAR)
    assert isinstance(written, str)
    assert read_record(written) == record


def _traced(record: Record) -> None:
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    for finding in record.findings:
        assert finding.said
        for place in finding.said:
            text = texts[place.utterance]
            assert 0 <= place.start < place.end <= len(text)
            assert text[place.start : place.end].strip() == text[place.start : place.end]
    for question in record.questions:
        for place in question.about:
            assert 0 <= place.start < place.end <= len(texts[place.utterance])


@given(ANYTHING)
def test_every_finding_lies_in_what_was_said(lines: list[str]) -> None:
    _traced(hear(*lines))


@given(ANYTHING)
def test_the_same_text_gives_the_same_record(lines: list[str]) -> None:
    assert hear(*lines) == hear(*lines)


@given(LINES)
def test_findings_are_of_tests_sites_and_sides_that_there_are(lines: list[str]) -> None:
    for finding in hear(*lines).findings:
        test = GRAMMAR.tests[finding.test]
        sites = GRAMMAR.sites_of(finding.test)
        assert finding.site is None or finding.site in sites
        if finding.site is not None and sites[finding.site].unsided and finding.side:
            assert finding.side in " ".join(lines).casefold() or "L" in "".join(lines).upper()
        if test.side == "none":
            assert finding.side is None


@given(LINES)
def test_values_are_values_of_the_test(lines: list[str]) -> None:
    for finding in hear(*lines).findings:
        test = GRAMMAR.tests[finding.test]
        scale = GRAMMAR.scales[test.scale] if test.scale else None
        if finding.value in test.values or finding.value in {"not_tested", "unable"}:
            continue
        assert scale is not None
        if scale.kind == "grades":
            assert finding.value in scale.grades
        else:
            assert re.fullmatch(r"[\d.]+(/\d+)?( \w+)?", finding.value), finding.value


@given(LINES)
def test_a_side_in_a_finding_was_said_or_meant_by_a_plural(lines: list[str]) -> None:
    """No text without any word of the right side gives a finding of the right side alone."""
    record = hear(*lines)
    text = " ".join(lines).lower()
    sided = {finding.side for finding in record.findings}
    both = re.compile(
        r"\b(both|either|each|bilat\w*|b/l|ou|symmetric\w*|equal\w*|other|opposite|contralateral)\b"
    )
    spoken = {"right": r"right|rt|od|rue|rle", "left": r"left|lt|os|lue|lle"}
    for side, forms in spoken.items():
        if re.search(rf"\b({forms})\b", text) or both.search(text) or side not in sided:
            continue
        other = {"right": "left", "left": "right"}[side]
        assert other in sided  # a plural gives both


def _forms(site: Site) -> set[tuple[str, ...]]:
    held = site.with_side
    names = {*site.spoken, *site.plural, *held.right, *held.left, *held.both}
    names |= {word for kept in site.keeps.values() for word in kept}
    return {norms(name) for name in names}


def _within(form: tuple[str, ...], words: tuple[str, ...]) -> bool:
    return any(words[i : i + len(form)] == form for i in range(len(words)))


@given(LINES)
def test_a_site_in_a_finding_was_named(lines: list[str]) -> None:
    """No finding at a place that nobody named, but for the whole of a test and its one place."""
    words = tuple(word for line in lines for word in norms(line))
    for finding in hear(*lines).findings:
        test = GRAMMAR.tests[finding.test]
        free = {None, "all", test.site_not_said}
        if finding.site in free or test.counts or test.ranges:
            continue
        forms = _forms(GRAMMAR.sites_of(finding.test)[finding.site or ""])
        assert any(_within(form, words) for form in forms), finding


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(
    "name",
    [
        site.spoken[0]
        for site in GRAMMAR.groups["limb"].sites.values()
        if site.spoken and not site.unsided
    ],
)
def test_a_limb_and_a_word_of_many_tests_is_no_finding(side: str, name: str) -> None:
    """ "Right arm normal" names no test: it is asked, and nothing is filled in meanwhile."""
    record = hear(f"{side} {name} normal")
    assert not record.findings
    assert [question.kind for question in record.questions] == ["test"]


@pytest.mark.parametrize("odd", ["²", "4²", "①", "½", "٣", "４", "四", "Ⅳ", "10²/5"])
@pytest.mark.parametrize(
    "before", ["GCS 10", "GCS", "right deltoid", "pupils", "visual acuity", "recall", "10G CMA0NO0"]
)
def test_digits_of_other_scripts_are_no_exception(before: str, odd: str) -> None:
    for lines in ([before, odd], [f"{before} {odd}"], [f"{before}{odd}"], [f"right knee {odd} mm"]):
        assert len(hear(*lines).utterances) == len(lines)


def test_the_vocabulary_is_the_whole_grammar() -> None:
    """The laws run over what the grammar holds, not over a handful of words."""
    assert len(words()) > 1_000
