"""The record as JSON, and back. ``record.schema.json`` beside this file describes the shape."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from pydantic import TypeAdapter, ValidationError

from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.model import (
    Addendum,
    Change,
    Choice,
    Disputed,
    Examined,
    Finding,
    Hearing,
    Place,
    Question,
    Record,
    Signature,
    Utterance,
    Word,
)
from dictate.render.standing import state_words

FORMAT = "dictate-record"
VERSION = "1.0"

Data = dict[str, Any]


def record_json(record: Record, grammar: Grammar | None = None) -> str:
    """Write a record as JSON.

    Args:
        record: Any record.
        grammar: Not needed; taken so that all outputs are called alike.

    Returns:
        JSON text with a line break at its end; ``read_record`` gives the same record back.
    """
    return json.dumps(_record(record), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def record_schema() -> Data:
    """The published JSON Schema (draft 2020-12) of what ``record_json`` writes."""
    text = files("dictate.render").joinpath("record.schema.json").read_text(encoding="utf-8")
    schema: Data = json.loads(text)
    return schema


def read_record(text: str) -> Record:
    """Read a record that ``record_json`` wrote.

    Args:
        text: The JSON text.

    Returns:
        The same record, exactly.

    Raises:
        InputError: It is no JSON, no record, of another version, or holds more or less than
            a record holds.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(
            "The record is damaged: it is not JSON. Take the file as it was written."
        ) from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise InputError("This JSON is not a record of this program. Choose a record file.")
    if data.get("version") != VERSION:
        raise InputError(
            f"The record has another version than {VERSION}. Use the program that wrote it."
        )
    return _checked(data)


def _checked(data: Data) -> Record:
    ours = ("format", "version", "state")
    inner = {key: value for key, value in data.items() if key not in ours}
    try:
        record = TypeAdapter(Record).validate_json(json.dumps(inner), strict=True)
    except (ValidationError, ValueError, RecursionError) as error:
        raise InputError(
            "The record is damaged: a part of it has the wrong shape. "
            "Take the file as it was written."
        ) from error
    # Unknown keys would be lost and missing ones filled in without a word, so both are refused.
    # What the record says of itself is worked out from its signature; older ones do not say it.
    if _record(record) != {"state": state_words(record), **data}:
        raise InputError(
            "The record holds keys that no record has, or lacks some. "
            "Take the file as it was written."
        )
    return record


def _record(record: Record) -> Data:
    data: Data = {
        "format": FORMAT,
        "version": VERSION,
        "state": state_words(record),
        "findings": [_finding(finding) for finding in record.findings],
        "questions": [_question(question) for question in record.questions],
        "utterances": [_utterance(utterance) for utterance in record.utterances],
        "history": [_change(change) for change in record.history],
        "notices": list(record.notices),
    }
    if record.examined is not None:
        data["examined"] = _examined(record.examined)
    return data


def _examined(examined: Examined) -> Data:
    return {
        "patient": examined.patient,
        "at": examined.at,
        "sound_sha256": examined.sound_sha256,
        "signature": _signature(examined.signature),
        "addenda": [_addendum(addendum) for addendum in examined.addenda],
    }


def _signature(signature: Signature | None) -> Data | None:
    if signature is None:
        return None
    return {
        "by": signature.by,
        "at": signature.at,
        "record_sha256": signature.record_sha256,
        "note_sha256": signature.note_sha256,
        "holds": signature.holds,
    }


def _addendum(addendum: Addendum) -> Data:
    return {
        "at": addendum.at,
        "added": [_finding(finding) for finding in addendum.added],
        "removed": [_finding(finding) for finding in addendum.removed],
        "asked": [_question(question) for question in addendum.asked],
        "settled": [_question(question) for question in addendum.settled],
        "utterances": [_utterance(utterance) for utterance in addendum.utterances],
        "signature": _signature(addendum.signature),
    }


def _finding(finding: Finding) -> Data:
    data: Data = {
        "test": finding.test,
        "site": finding.site,
        "side": finding.side,
        "value": finding.value,
        "detail": list(finding.detail),
        "normal": finding.normal,
        "said": [_place(place) for place in finding.said],
    }
    if finding.site_said is not None:
        data["site_said"] = finding.site_said
    if finding.checked is not None:
        data["checked"] = finding.checked
    return data


def _place(place: Place) -> Data:
    return {
        "utterance": place.utterance,
        "start": place.start,
        "end": place.end,
        **_sound(place),
    }


def _word(word: Word) -> Data:
    data: Data = {"text": word.text, "start": word.start, "end": word.end, **_sound(word)}
    if word.agreed is not None:
        data["agreed"] = word.agreed
    return data


def _hearing(hearing: Hearing) -> Data:
    data: Data = {"listener": hearing.listener, "text": hearing.text}
    if hearing.words:
        data["words"] = [_word(word) for word in hearing.words]
    return data


def _disputed(stretch: Disputed) -> Data:
    data: Data = {
        "start": stretch.start,
        "end": stretch.end,
        "instead": stretch.instead,
        "listener": stretch.listener,
        "kind": stretch.kind,
    }
    if stretch.lead is not None:
        data["lead"] = round(stretch.lead, 2)
    return data


def _sound(heard: Place | Word) -> Data:
    times = {
        "start_s": heard.start_s,
        "end_s": heard.end_s,
        "confidence": heard.confidence,
    }
    return {key: value for key, value in times.items() if value is not None}


def _question(question: Question) -> Data:
    return {
        "id": question.id,
        "kind": question.kind,
        "about": [_place(place) for place in question.about],
        "prompt": question.prompt,
        "choices": [_choice(choice) for choice in question.choices],
    }


def _choice(choice: Choice) -> Data:
    return {
        "label": choice.label,
        "findings": [_finding(finding) for finding in choice.findings],
    }


def _utterance(utterance: Utterance) -> Data:
    data: Data = {
        "id": utterance.id,
        "text": utterance.text,
        "start": utterance.start,
        "end": utterance.end,
        "kind": utterance.kind,
    }
    if utterance.words:
        data["words"] = [_word(word) for word in utterance.words]
    if utterance.hearings:
        data["hearings"] = [_hearing(hearing) for hearing in utterance.hearings]
    if utterance.disputed:
        data["disputed"] = [_disputed(stretch) for stretch in utterance.disputed]
    if utterance.hand is not None:
        data["hand"] = utterance.hand
    return data


def _change(change: Change) -> Data:
    data: Data = {"what": change.what, "utterance": change.utterance}
    if change.finding is not None:
        data["finding"] = _finding(change.finding)
    if change.question is not None:
        data["question"] = _question(change.question)
    return data
