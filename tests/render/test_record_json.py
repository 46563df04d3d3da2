"""The record as JSON: exact there and back, and in the words of the model and the contract."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import InputError
from dictate.model import (
    QUESTION_KINDS,
    UTTERANCE_KINDS,
    Addendum,
    Change,
    Choice,
    Disputed,
    Examined,
    Finding,
    Hand,
    Hearing,
    Place,
    Question,
    Record,
    Side,
    Signature,
    Utterance,
    Word,
)
from dictate.render.record_json import read_record, record_json, record_schema

CONTRACT = Path(__file__).resolve().parents[3] / "shared/contract/README.md"

SECONDS = st.none() | st.floats(0, 1e5, allow_nan=False)
SHARE = st.none() | st.floats(0, 1)
COUNT = st.integers(0, 10**6)
TEXT = st.text(max_size=8)
PLACES = st.lists(st.builds(Place, TEXT, COUNT, COUNT, SECONDS, SECONDS, SHARE), max_size=2).map(
    tuple
)
FINDINGS = st.builds(
    Finding,
    TEXT,
    st.none() | TEXT,
    st.sampled_from(["right", "left", None]),
    TEXT,
    st.lists(TEXT, max_size=2).map(tuple),
    st.sampled_from([True, False, None]),
    PLACES,
    st.none() | TEXT,
    st.sampled_from([True, False, None]),
)
CHOICES = st.builds(Choice, TEXT, st.lists(FINDINGS, max_size=2).map(tuple))
QUESTIONS = st.builds(
    Question,
    TEXT,
    st.sampled_from(QUESTION_KINDS),
    PLACES,
    TEXT,
    st.lists(CHOICES, max_size=2).map(tuple),
)
WORDS = st.builds(
    Word, TEXT, COUNT, COUNT, SECONDS, SECONDS, SHARE, st.sampled_from([True, False, None])
)
HEARINGS = st.builds(Hearing, TEXT, TEXT, st.lists(WORDS, max_size=2).map(tuple))
DISPUTED = st.builds(
    Disputed, COUNT, COUNT, TEXT, TEXT, st.sampled_from(["doubted", "other", "talk"])
)
UTTERANCES = st.builds(
    Utterance,
    TEXT,
    TEXT,
    SECONDS,
    SECONDS,
    st.lists(WORDS, max_size=2).map(tuple),
    st.sampled_from([*UTTERANCE_KINDS, None]),
    st.lists(HEARINGS, max_size=2).map(tuple),
    st.lists(DISPUTED, max_size=2).map(tuple),
    hand=st.sampled_from([*get_args(Hand), None]),
)
CHANGES = st.builds(
    Change,
    st.sampled_from(["corrected", "taken_back", "questioned", "answered", "skipped"]),
    TEXT,
    st.none() | FINDINGS,
    st.none() | QUESTIONS,
)
SIGNATURES = st.builds(Signature, TEXT, TEXT, TEXT, TEXT, st.booleans())
ADDENDA = st.builds(
    Addendum,
    TEXT,
    st.lists(FINDINGS, max_size=1).map(tuple),
    st.lists(FINDINGS, max_size=1).map(tuple),
    st.lists(QUESTIONS, max_size=1).map(tuple),
    st.lists(QUESTIONS, max_size=1).map(tuple),
    st.lists(UTTERANCES, max_size=1).map(tuple),
    st.none() | SIGNATURES,
)
EXAMINED = st.builds(
    Examined,
    TEXT,
    TEXT,
    st.none() | TEXT,
    st.none() | SIGNATURES,
    st.lists(ADDENDA, max_size=1).map(tuple),
)
RECORDS = st.builds(
    Record,
    st.lists(FINDINGS, max_size=3).map(tuple),
    st.lists(QUESTIONS, max_size=2).map(tuple),
    st.lists(UTTERANCES, max_size=2).map(tuple),
    st.lists(CHANGES, max_size=2).map(tuple),
    st.lists(TEXT, max_size=2).map(tuple),
    st.none() | EXAMINED,
)


@settings(max_examples=150, deadline=None)
@given(record=RECORDS)
def test_any_record_is_valid_and_comes_back_exactly(record: Record) -> None:
    text = record_json(record)
    jsonschema.Draft202012Validator(record_schema()).validate(json.loads(text))
    assert read_record(text) == record


def _objects(schema: Any) -> Iterator[dict[str, Any]]:
    if isinstance(schema, dict):
        if "properties" in schema:
            yield schema
        for inner in schema.values():
            yield from _objects(inner)


def test_the_schema_is_one_and_allows_nothing_beyond_itself() -> None:
    jsonschema.Draft202012Validator.check_schema(record_schema())
    objects = list(_objects(record_schema()))
    assert len(objects) >= 8
    assert all(found["additionalProperties"] is False for found in objects)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("finding", Finding),
        ("place", Place),
        ("question", Question),
        ("choice", Choice),
        ("utterance", Utterance),
        ("word", Word),
        ("change", Change),
        ("signature", Signature),
        ("addendum", Addendum),
        ("examined", Examined),
    ],
)
def test_the_schema_has_the_keys_of_the_model(name: str, kind: type) -> None:
    kept = {f.name for f in fields(kind)} - {"readings"}  # chosen from before a record holds them
    assert set(record_schema()["$defs"][name]["properties"]) == kept


def test_the_schema_has_the_words_of_the_model() -> None:
    found = record_schema()["$defs"]

    def words(name: str, key: str) -> set[object]:
        return set(found[name]["properties"][key]["enum"])

    assert words("finding", "side") == {*get_args(Side), None}
    assert words("question", "kind") == set(QUESTION_KINDS)
    assert words("utterance", "kind") == {*UTTERANCE_KINDS, None}
    assert words("utterance", "hand") == set(get_args(Hand))


@pytest.fixture(scope="module")
def contract() -> str:
    """The contract's text."""
    if not CONTRACT.is_file():
        pytest.skip("the contract (../shared/contract) does not lie beside this checkout")
    return CONTRACT.read_text(encoding="utf-8")


def test_the_keys_are_those_of_the_contract(contract: str) -> None:
    described = re.search(r"\*\*A finding\*\*: (.*)", contract)
    asked = re.search(r"\*\*A question\*\*: (.*)", contract)
    heard = re.search(r"\*\*An utterance\*\*: (.*)", contract)
    assert described and asked and heard
    found = record_schema()["$defs"]
    named = set(re.findall(r"`(\w+)`", described[1])) - {"right", "left"}
    more = {"site_said", "checked"}
    ours = {*found["finding"]["properties"], *found["place"]["properties"]} - more
    assert named == ours
    assert set(found["question"]["required"]) <= set(re.findall(r"`(\w+)`", asked[1]))
    assert set(found["utterance"]["required"]) <= set(re.findall(r"`(\w+)`", heard[1]))


def test_the_kinds_are_those_of_the_contract(contract: str) -> None:
    table = re.findall(r"^\| `(\w+)` \| (.*) \|$", contract, re.MULTILINE)
    keys = {name for name, _ in table}
    assert {"findings", "questions", "utterances", *QUESTION_KINDS} == keys
    heard = re.search(r"\*\*An utterance\*\*: (.*)", contract)
    assert heard
    assert set(UTTERANCE_KINDS) <= set(re.findall(r"`(\w+)`", heard[1]))


def test_every_record_says_whether_it_is_signed() -> None:
    # also one that is kept nowhere, so that nobody can have signed it
    assert json.loads(record_json(Record()))["state"] == "Draft, not signed"
    by = Signature("A. Examiner", "2026-01-02T10:20:00Z", "00" * 32, "11" * 32)
    signed = Record(examined=Examined("6f1c", by.at, "", by))
    said = json.loads(record_json(signed))
    assert said["state"] == "Checked and signed by A. Examiner, 2026-01-02 10:20 UTC"
    # an older record does not say it; one that says what is not so is refused
    older = {key: value for key, value in said.items() if key != "state"}
    assert read_record(json.dumps(older)) == signed
    with pytest.raises(InputError):
        read_record(record_json(Record()).replace("Draft, not signed", "Checked and signed by B"))
