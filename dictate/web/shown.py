"""An examination as the page shows it: plain values, every text as it is. No rule of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree

from dictate.examination import Examination, key_of, key_of_question
from dictate.examination.facts import facts_of
from dictate.examination.hands import TAKES
from dictate.examination.steps import Move, moves
from dictate.grammar import Grammar
from dictate.grammar.names import capital
from dictate.grammar.options import options_of
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Place, Question, Record, Utterance
from dictate.render import RENDERERS
from dictate.render.document import not_mentioned
from dictate.render.pictures import pictures
from dictate.render.traced import heard_words, traced_note
from dictate.render.unchecked import MARK
from dictate.web.answer_keys import Key, answer_keys

Data = dict[str, Any]

#: Outputs that somebody reads, which stand first.
FOR_PEOPLE = ("note", "word", "html")
#: In the place of draft or signed, until that is known.
OPENING = "Being opened"

#: How the page names the kinds of utterances, and which of them stand together.
KINDS = {
    "finding": ("finding", "finding"),
    "to_patient": ("talk", "to the patient"),
    "by_patient": ("talk", "the patient's reply"),
    "command": ("command", "for the tool"),
    "remark": ("remark", "remark"),
    None: ("remark", "not judged"),
}


def shown(examination: Examination) -> Data:
    """Everything that the page shows of an examination, but for how far it is read."""
    grammar = examination.grammar
    live, record = examination.live(), examination.record()
    texts = {one.id: one.text for one in live.utterances}
    return {
        "version": examination.version,
        "closed": not (examination.writes or examination.held_by == TAKES),
        "held_by": examination.held_by,
        "patient": live.examined.patient if live.examined else "",
        **_status(record),
        "utterances": [_utterance(one) for one in live.utterances],
        "findings": [_finding(grammar, one) for one in live.findings],
        "questions": [_question(grammar, one, texts) for one in live.questions],
        "note": _note(record, grammar),
        "silent": list(not_mentioned(live, grammar).phrases),
        "pictures": [
            {"name": p.name, "title": p.title, "drawing": tree(p.drawing)}
            for p in pictures(live, grammar)
        ],
        "outputs": _outputs(live),
        "steps": [
            {"number": s.number, "sentence": s.sentence, "undone": s.undone}
            for s in examination.steps()
        ],
    }


def first_shown(events: Sequence[Data]) -> Data:
    """What can be shown of an examination before it is understood: the words alone.

    Args:
        events: The lines of its journal.
    """
    coming = (move for move in moves(events) if "utterance" in move.event)
    return {
        "version": 0, "closed": True, "held_by": "", "patient": facts_of(events).patient,
        "status": "draft", "status_words": OPENING,
        "utterances": [_said(move) for move in coming],
        "note": {"caution": "", "parts": []},
        "findings": [], "questions": [], "silent": [], "pictures": [], "outputs": [], "steps": [],
    }  # fmt: skip


def _said(move: Move) -> Data:
    said = move.event["utterance"]
    return {
        "id": said["id"], "text": said["text"] if move.words is None else move.words,
        "start_s": said.get("start"), "end_s": said.get("end"), "group": "remark",
        "kind_words": "", "hand": said.get("hand"), "words": [],
    }  # fmt: skip


def choices(examination: Examination, key: str) -> Data | None:
    """What a finding may be changed to; None where there is no such finding."""
    grammar = examination.grammar
    found = next((one for one in examination.live().findings if key_of(one) == key), None)
    if found is None:
        return None
    options = options_of(grammar, found.test)
    return {
        "label": finding_phrase(grammar, found),
        "name": options.name,
        "values": [list(pair) for pair in options.values],
        "sites": [list(pair) for pair in options.sites],
        "sided": options.sided,
        "free": options.free,
        "now": {"value": found.value, "site": found.site or "", "side": found.side or ""},
    }


def tree(element: ElementTree.Element) -> Data:
    """A drawing as plain values, from which the page makes it without any markup."""
    return {
        "tag": element.tag,
        "attributes": dict(element.attrib),
        "text": element.text or "",
        "parts": [tree(part) for part in element],
    }


def _status(record: Record) -> Data:
    signature = record.examined.signature if record.examined else None
    if record.examined is None or signature is None:
        return {"status": "draft", "status_words": "Draft, not signed"}
    broken = [one for one in (signature, *(a.signature for a in record.examined.addenda)) if one]
    if not all(one.holds for one in broken):
        return {"status": "changed", "status_words": "Changed since it was signed"}
    last = record.examined.addenda[-1] if record.examined.addenda else None
    day = signature.at[:10]
    words = f"Signed by {signature.by}, {day}"
    if last is not None:
        words += "; addendum signed" if last.signature is not None else "; addendum is a draft"
    return {"status": "signed", "status_words": words}


def _outputs(record: Record) -> list[Data]:
    """Those that can be made of it; the first are for people, the others for programs."""
    spoken = any(utterance.start is not None for utterance in record.utterances)
    return [
        {"name": one.name, "purpose": one.purpose, "first": one.name in FOR_PEOPLE}
        for one in RENDERERS.values()
        if spoken or not one.timed
    ]


def _utterance(utterance: Utterance) -> Data:
    group, kind_words = KINDS[utterance.kind]
    return {
        "id": utterance.id,
        "text": utterance.text,
        "start_s": utterance.start,
        "end_s": utterance.end,
        "group": group,
        "kind_words": kind_words,
        "hand": utterance.hand,
        "words": [
            {
                "text": word.text,
                "start": word.start,
                "end": word.end,
                "start_s": word.start_s,
                "end_s": word.end_s,
                "unsure": unsure,
            }
            for word, unsure in heard_words(utterance)
        ],
    }


def _finding(grammar: Grammar, finding: Finding) -> Data:
    last = finding.said[-1] if finding.said else None
    label = finding_phrase(grammar, finding)
    more = [text for text in finding.detail if text.casefold() not in label.casefold()]
    marks = [", ".join(more), MARK if finding.checked is False else ""]
    return {
        "key": key_of(finding),
        "label": label,
        "mark": "; ".join(filter(None, marks)),
        "area": capital(grammar.area_of(finding.test).heading.note),
        "normal": finding.normal,
        "utterance": last.utterance if last else "",
        "places": [_place(place) for place in finding.said],
        "start_s": min((p.start_s for p in finding.said if p.start_s is not None), default=None),
        "end_s": max((p.end_s for p in finding.said if p.end_s is not None), default=None),
    }


def _place(place: Place) -> Data:
    return {"utterance": place.utterance, "start": place.start, "end": place.end}


def _question(grammar: Grammar, question: Question, texts: dict[str, str]) -> Data:
    quoted = {
        (place.utterance, texts.get(place.utterance, "")[place.start : place.end].strip())
        for place in question.about
    }
    choices, others = answer_keys(question, grammar)
    return {
        "id": key_of_question(question),
        "prompt": question.prompt,
        "places": [_place(place) for place in question.about],
        "quoted": [{"utterance": u, "text": t} for u, t in sorted(quoted) if t],
        "choices": [_key(key) for key in choices],
        "others": [_key(key) for key in others],
    }


def _key(key: Key) -> Data:
    return {"label": key.label, "words": key.words, "key": key.key}


def _note(record: Record, grammar: Grammar) -> Data:
    document, parts = traced_note(record, grammar)
    return {
        "caution": document.caution,
        "parts": [
            {
                "heading": part.heading,
                "paragraphs": [
                    [{"text": one.text, "keys": [key_of(f) for f in one.findings]} for one in row]
                    for row in part.paragraphs
                ],
                "items": list(part.items),
            }
            for part in parts
        ],
    }
