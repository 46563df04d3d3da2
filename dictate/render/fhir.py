"""The record as a FHIR document (HL7 FHIR R4, 4.0.1: http://hl7.org/fhir/R4).

A Bundle of the type document: a Composition with the note, one Observation a finding, the patient
as an id alone, the recording as a DocumentReference with its hash, and who signed as a Provenance.
Codes come from free code systems alone (the Human Phenotype Ontology, UCUM, HL7's own); the ids of
this program's record are a code system of its own, so that the findings can be read back exactly.
"""

from __future__ import annotations

import base64
import json
import uuid
from html import escape
from typing import Any

from dictate import __version__
from dictate.grammar import Grammar
from dictate.grammar.names import NOT_DONE, capital, is_grade, site_words, value_words
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Record
from dictate.render.document import Document, Part, write_document
from dictate.render.known import Known, known
from dictate.render.terms import term_of

Data = dict[str, Any]

#: The code systems of this program's own ids: one for tests, sites and values (ids by UUID, 2.25).
OWN = "urn:oid:2.25.118340722459033226371042318859216127713"
_TESTS, _SITES, _VALUES, _SIDES = f"{OWN}.1", f"{OWN}.2", f"{OWN}.3", f"{OWN}.4"
_UCUM = "http://unitsofmeasure.org"
_ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
_CATEGORY = "http://terminology.hl7.org/CodeSystem/observation-category"
_INTERPRETATION = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
_PARTICIPATION = "http://terminology.hl7.org/CodeSystem/provenance-participant-type"
_XHTML = "http://www.w3.org/1999/xhtml"


def fhir(record: Record, grammar: Grammar) -> str:
    """Write the record of a kept examination as a FHIR R4 document.

    Args:
        record: Its open questions stand in the note's text, and in no Observation.
        grammar: Where the words come from.

    Returns:
        JSON text with a line break at its end; ``read_fhir`` gives its findings.

    Raises:
        InputError: The record is kept nowhere.
    """
    about = known(record)
    author = _author(about)
    observations = [
        _observation(grammar, about, finding, i) for i, finding in enumerate(record.findings)
    ]
    extra = [{"resourceType": "Patient", **_named(about, "patient", about.patient)}, author]
    if about.sound_sha256:
        extra.append(_recording(about, about.sound_sha256))
    if about.signed_by:
        extra.append(_provenance(about))
    document = write_document(record, grammar)
    composition = _composition(about, document, observations)
    resources = [composition, *extra, *observations]
    bundle = {
        "resourceType": "Bundle",
        "identifier": {"system": "urn:ietf:rfc:3986", "value": f"urn:uuid:{about.id}"},
        "type": "document",
        "timestamp": about.at,
        "entry": [{"fullUrl": f"urn:uuid:{r['id']}", "resource": r} for r in resources],
    }
    return json.dumps(bundle, ensure_ascii=False, indent=2) + "\n"


def read_fhir(text: str) -> list[tuple[str, str | None, str | None, str]]:
    """The findings of a document that ``fhir`` wrote: (test, site, side, value), in its order."""
    entries = [entry["resource"] for entry in json.loads(text)["entry"]]
    found = [entry for entry in entries if entry["resourceType"] == "Observation"]
    rows = []
    for one in found:
        codes = {
            coding["system"]: coding["code"]
            for part in ("code", "bodySite", "valueCodeableConcept", "dataAbsentReason")
            for coding in one.get(part, {}).get("coding", [])
        }
        rows.append((codes[_TESTS], codes.get(_SITES), codes.get(_SIDES), _value_of(one, codes)))
    return rows


def _value_of(one: Data, codes: dict[str, str]) -> str:
    if _VALUES in codes:
        return codes[_VALUES]
    quantity = one["valueQuantity"]
    return f"{quantity['value']} {quantity['unit']}"


def _id(about: Known, name: str) -> str:
    """An id that is the same each time this record is written."""
    return str(uuid.uuid5(uuid.UUID(about.id), name))


def _ref(about: Known, name: str) -> Data:
    return {"reference": f"urn:uuid:{_id(about, name)}"}


def _named(about: Known, name: str, identifier: str) -> Data:
    return {"id": _id(about, name), "identifier": [{"system": f"{OWN}.5", "value": identifier}]}


def _author(about: Known) -> Data:
    if about.signed_by:
        name = [{"text": about.signed_by}]
        return {"resourceType": "Practitioner", "id": _id(about, "author"), "name": name}
    name = [{"name": f"dictate {__version__}", "type": "model-name"}]
    return {"resourceType": "Device", "id": _id(about, "author"), "deviceName": name}


def _composition(about: Known, document: Document, observations: list[Data]) -> Data:
    by_heading: Data = {
        "resourceType": "Composition",
        "id": _id(about, "composition"),
        "status": "final" if about.signed_by else "preliminary",
        "type": {"text": "Neurological examination note"},
        "subject": _ref(about, "patient"),
        "date": about.at,
        "author": [_ref(about, "author")],
        "title": f"{document.title} ({'signed' if about.signed_by else 'draft, not signed'})",
        "section": [
            {"title": "Caution", "text": _narrative([escape(document.caution)])},
            *(_section(part) for part in document.parts),
            {
                "title": "Findings one by one",
                "text": _narrative([escape(one["code"]["text"]) for one in observations]),
                "entry": [{"reference": f"urn:uuid:{one['id']}"} for one in observations],
            },
        ],
    }
    if not observations:
        by_heading["section"].pop()
    if about.signed_by:
        party = _ref(about, "author")
        by_heading["attester"] = [{"mode": "professional", "time": about.at, "party": party}]
    return by_heading


def _section(part: Part) -> Data:
    lines = [escape(line) for line in (*part.paragraphs, *part.items)]
    return {"title": part.heading or "Also", "text": _narrative(lines)}


def _narrative(lines: list[str]) -> Data:
    body = "".join(f"<p>{line}</p>" for line in lines)
    return {"status": "generated", "div": f'<div xmlns="{_XHTML}">{body}</div>'}


def _observation(grammar: Grammar, about: Known, finding: Finding, number: int) -> Data:
    test = grammar.tests[finding.test]
    observation: Data = {
        "resourceType": "Observation",
        "id": _id(about, f"observation {number}"),
        "status": "final" if about.signed_by else "preliminary",
        "category": [{"coding": [_coding(_CATEGORY, "exam", "Exam")]}],
        "code": {
            "coding": [_coding(_TESTS, finding.test, test.name)],
            "text": finding_phrase(grammar, finding),
        },
        "subject": _ref(about, "patient"),
        "effectiveDateTime": about.at,
        "performer": [_ref(about, "author")] if about.signed_by else [],
        "interpretation": _interpretation(finding),
        "bodySite": _place(grammar, finding),
        "note": _notes(about, finding),
        "derivedFrom": [_ref(about, "recording")] if about.sound_sha256 else [],
    }
    return {
        key: value for key, value in {**observation, **_value(grammar, finding)}.items() if value
    }


def _coding(system: str, code: str, display: str) -> Data:
    return {"system": system, "code": code, "display": display}


def _interpretation(finding: Finding) -> list[Data]:
    if finding.normal is None or finding.value in NOT_DONE:
        return []
    coding = ("N", "Normal") if finding.normal else ("A", "Abnormal")
    return [{"coding": [_coding(_INTERPRETATION, *coding)]}]


def _place(grammar: Grammar, finding: Finding) -> Data:
    codings = []
    name = ""
    if finding.site is not None:
        name = site_words(grammar, finding.test, finding.site)
        codings.append(_coding(_SITES, finding.site, name))
    if finding.side is not None:
        codings.append(_coding(_SIDES, finding.side, capital(finding.side)))
        if grammar.ontology is not None:
            term = grammar.ontology.sides[finding.side]
            codings.append(_coding(grammar.ontology.system, term.id, term.label))
    text = " ".join(word for word in (finding.side, finding.site_said or name) if word)
    return {"coding": codings, "text": text} if codings else {}


def _value(grammar: Grammar, finding: Finding) -> Data:
    """The value: a quantity where it has a unit, else a concept, or the reason why it has none."""
    spec = grammar.tests[finding.test]
    words = value_words(grammar, finding.test, finding.value)
    own = _coding(_VALUES, finding.value, words)
    if finding.value in NOT_DONE:
        known_reason = _coding(_ABSENT, "not-performed", "Not Performed")
        return {"dataAbsentReason": {"coding": [known_reason, own], "text": words}}
    scale = grammar.scales[spec.scale] if spec.scale else None
    number, _, unit = finding.value.partition(" ")
    if (
        scale is not None
        and scale.unit is not None
        and is_grade(grammar, finding.test, finding.value)
    ):
        size = float(number) if "." in number else int(number)
        return {"valueQuantity": {"value": size, "unit": unit, "system": _UCUM, "code": unit}}
    codings = [own]
    if grammar.ontology is not None and (term := term_of(grammar, finding)) is not None:
        codings.append(_coding(grammar.ontology.system, term.id, term.label))
    return {"valueCodeableConcept": {"coding": codings, "text": words}}


def _notes(about: Known, finding: Finding) -> list[Data]:
    """The words that were spoken, and the details."""
    said = about.said(finding)
    notes = [{"text": f'Said: "{said}"'}] if said else []
    return [*notes, *({"text": f"Detail: {detail}"} for detail in finding.detail)]


def _recording(about: Known, digest: str) -> Data:
    """The recording, which is not sent along: its hash as a name of its own (RFC 6920)."""
    name = base64.urlsafe_b64encode(bytes.fromhex(digest)).decode().rstrip("=")
    return {
        "resourceType": "DocumentReference",
        "id": _id(about, "recording"),
        "identifier": [{"system": "urn:ietf:rfc:3986", "value": f"ni:///sha-256;{name}"}],
        "status": "current",
        "description": "The recording that the findings were heard in; it is not part of this.",
        "subject": _ref(about, "patient"),
        "content": [{"attachment": {"contentType": "application/octet-stream"}}],
    }


def _provenance(about: Known) -> Data:
    assert about.signature is not None
    kind = _coding(_PARTICIPATION, "verifier", "Verifier")
    hashes = (
        f"SHA-256 of the record {about.signature.record_sha256}, "
        f"of the note {about.signature.note_sha256}: they show a change, not who made it."
    )
    return {
        "resourceType": "Provenance",
        "id": _id(about, "provenance"),
        "text": _narrative([f"Checked and signed by {escape(about.signature.by)}. {hashes}"]),
        "target": [_ref(about, "composition")],
        "recorded": about.at,
        "agent": [{"type": {"coding": [kind]}, "who": _ref(about, "author")}],
    }
