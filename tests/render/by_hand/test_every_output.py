"""Laws for outputs, and the laws of a note over records that nobody thought of."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace

import jsonschema
import pytest
import webvtt
from docx import Document
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.errors import InputError
from dictate.grammar import load_grammar
from dictate.grammar.names import WHOLE, value_words
from dictate.grammar.wording import finding_phrase, target_label
from dictate.model import Choice, Examined, Finding, Place, Question, Record, Utterance, Word
from dictate.render import RENDERERS, read_record
from dictate.render.record_json import record_schema
from dictate.render.sections import write_sections

QUIET = settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture])
SITES = {
    "tone": ["all", "upper_limb", "deltoid"],
    "strength": ["all", "deltoid", "biceps", "hip_flexion", "upper_limb"],
    "drift": [None],
    "clonus": ["ankle"],
    "gait": [None],
}
VALUES = {
    "tone": ["normal", "increased"],
    "strength": ["5", "4+", "0"],
    "drift": ["absent", "present"],
    "clonus": ["absent", "present"],
    "gait": ["normal", "ataxic", "wide_based"],
}
BAD = {"increased", "4+", "0", "present", "ataxic", "wide_based"}


@st.composite
def findings(draw: st.DrawFn) -> Finding:
    test = draw(st.sampled_from(sorted(SITES)))
    value = draw(st.sampled_from([*VALUES[test], "not_tested", "unable"]))
    normal = None if value in ("not_tested", "unable") else value not in BAD
    sides = [None] if test == "gait" else [None, "right", "left"]
    detail = draw(st.sampled_from([(), ("mild",), ("at rest", "slight")]))
    place = Place("u1", 0, draw(st.integers(0, 3)))
    return Finding(
        test,
        draw(st.sampled_from(SITES[test])),
        draw(st.sampled_from(sides)),
        value,
        detail,
        normal,
        (place,),
    )


RECORDS = st.lists(
    findings(), max_size=8, unique_by=lambda f: (f.test, f.site, f.side, f.value, f.detail)
).map(lambda found: Record(tuple(found), utterances=(Utterance("u1", "said", kind="finding"),)))


@QUIET
@given(record=RECORDS)
def test_every_finding_is_in_exactly_one_sentence(grammar, record) -> None:
    stated = [
        f
        for section in write_sections(record, grammar)
        for row in section.paragraphs
        for sentence in row
        for f in sentence.findings
    ]
    assert sorted(map(repr, stated)) == sorted(map(repr, record.findings))


@QUIET
@given(record=RECORDS)
def test_sentences_hold_the_words_of_their_findings_and_no_other(grammar, record) -> None:
    for section in write_sections(record, grammar):
        for sentence in (one for row in section.paragraphs for one in row):
            text = sentence.text
            sides = {f.side for f in sentence.findings if f.side}
            said = set(re.findall(r"\b(right|left)\b", text))
            if "bilaterally" in text:
                said |= {"right", "left"}
            assert said == sides, text
            grades = {f.value for f in sentence.findings if f.value in VALUES["strength"]}
            assert set(re.findall(r"([\d+]+)/5", text)) == grades, text
            for finding in sentence.findings:
                assert all(word in text for word in finding.detail), text
                if finding.value not in ("present", "absent"):
                    assert value_words(grammar, finding.test, finding.value) in text
                if finding.site not in (None, WHOLE):
                    names = grammar.sites_of(finding.test)[finding.site]
                    assert str(names.name) in text, text


@QUIET
@given(record=RECORDS)
def test_json_is_valid_and_gives_the_same_record_back(record) -> None:
    text = RENDERERS["record"].function(record, None)  # type: ignore[arg-type]
    jsonschema.Draft202012Validator(record_schema()).validate(json.loads(text))
    assert read_record(text) == record


def _timed(found) -> Record:
    said = (Place("u1", 0, 4, 1.25, 2.0, 0.9),)
    second = (Place("u2", 0, 4, 61.0, 62.3456, 0.5),)
    words = (Word("gait", 0, 4, 61.0, 61.4, 0.5),)
    choice = Choice("right", found("strength biceps right 5", said=said))
    return Record(
        found("strength deltoid left 4+", False, said=said) + found("gait - - normal", said=second),
        (Question("q1", "side", said, "Which side?", (choice,)),),
        (
            Utterance("u1", "left <b> & deltoid", 1.0, 2.0, (), "finding"),
            Utterance("u2", "gait fine", 61.0, 63.0, words, "finding"),
        ),
    )


def test_json_with_times_comes_back_and_site_said_is_only_where_set(found) -> None:
    record = _timed(found)
    data = json.loads(RENDERERS["record"].function(record, None))  # type: ignore[arg-type]
    jsonschema.Draft202012Validator(record_schema()).validate(data)
    assert read_record(json.dumps(data)) == record
    assert set(data["findings"][0]) == {"test", "site", "side", "value", "detail", "normal", "said"}
    assert data["questions"][0]["choices"][0]["label"] == "right"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data.update(extra=1),
        lambda data: data["findings"][0].update(side="up"),
        lambda data: data["findings"][0].pop("site"),
        lambda data: data.update(version="2"),
        lambda data: data.pop("format"),
        lambda data: data["findings"][0].update(sides="left"),
    ],
)
def test_a_spoilt_record_is_refused_in_a_sentence(found, spoil) -> None:
    data = json.loads(RENDERERS["record"].function(_timed(found), None))  # type: ignore[arg-type]
    spoil(data)
    with pytest.raises(InputError, match=r"\."):
        read_record(json.dumps(data))


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "[" * 100_000])
def test_what_is_no_record_is_refused(text) -> None:
    with pytest.raises(InputError):
        read_record(text)


def test_captions_are_read_by_another_program(grammar, found) -> None:
    cues = webvtt.from_string(RENDERERS["captions"].function(_timed(found), grammar)).captions
    assert [(cue.start, cue.end, cue.text) for cue in cues] == [
        ("00:00:01.250", "00:00:02.250", "Left deltoid 4+/5\nTo be settled: Which side?"),
        ("00:01:01.000", "00:01:02.346", "Gait normal"),
    ]


def test_captions_escape_what_was_said(grammar, found) -> None:
    said = (Place("u1", 0, 1, 0.0, 0.0),)
    record = Record(found("gait - - normal", detail=("a <b> & --> c",), said=said))
    text = RENDERERS["captions"].function(record, grammar)
    assert "Gait normal (a &lt;b&gt; &amp; --&gt; c)" in text
    assert "00:00:00.000 --> 00:00:01.000" in text


def test_chapters_follow_the_sections_and_do_not_overlap(grammar, found) -> None:
    cues = webvtt.from_string(RENDERERS["chapters"].function(_timed(found), grammar)).captions
    assert [(cue.start, cue.end, cue.text) for cue in cues] == [
        ("00:00:01.250", "00:01:01.000", "Motor"),
        ("00:01:01.000", "00:01:02.346", "Gait"),
    ]


@pytest.mark.parametrize("name", ["captions", "chapters"])
def test_typed_text_has_no_captions(grammar, found, name) -> None:
    with pytest.raises(InputError, match="need sound"):
        RENDERERS[name].function(Record(found("gait - - normal")), grammar)


def test_word_opens_and_names_nobody(grammar, found) -> None:
    remark = Utterance("u9", "odd \x0b sign", kind="remark")
    record = Record(found("gait - - normal"), utterances=(remark,))
    paper = Document(io.BytesIO(RENDERERS["word"].function(record, grammar)))
    texts = [paragraph.text for paragraph in paper.paragraphs]
    assert texts[0].startswith("Draft for the examiner")
    assert "Gait normal." in texts
    assert (paper.core_properties.author, paper.core_properties.last_modified_by) == ("", "")


def test_markdown_takes_the_meaning_from_signs(grammar) -> None:
    record = Record(utterances=(Utterance("u1", "*a* <b> [c](d)", kind="remark"),))
    text = RENDERERS["markdown"].function(record, grammar)
    assert r"\*a\* \<b\> \[c\](d)" in text
    assert text.startswith("Draft")


@pytest.mark.parametrize("name", sorted(RENDERERS))
def test_every_output_gives_what_it_announces(grammar, found, name) -> None:
    renderer = RENDERERS[name]
    assert renderer.name == name
    about = Examined("p1", "2026-01-02T10:00:00Z")
    words = replace(grammar, ontology=load_grammar().ontology)
    made = renderer.function(replace(_timed(found), examined=about), words)
    assert isinstance(made, bytes if renderer.binary else str)


@pytest.mark.parametrize("name", ["fhir", "phenopacket"])
def test_what_is_kept_nowhere_goes_to_no_other_system(grammar, found, name) -> None:
    words = replace(grammar, ontology=load_grammar().ontology)
    with pytest.raises(InputError, match="Keep the examination in a folder first"):
        RENDERERS[name].function(_timed(found), words)


def test_phrases_and_labels(grammar, found) -> None:
    assert finding_phrase(grammar, found("strength biceps right 4+")[0]) == "Right biceps 4+/5"
    assert finding_phrase(grammar, found("drift - - absent")[0]) == "No pronator drift"
    assert finding_phrase(grammar, found("clonus ankle left present")[0]) == "Left ankle clonus"
    assert target_label(grammar, "strength", "biceps", "right") == "right biceps strength"
