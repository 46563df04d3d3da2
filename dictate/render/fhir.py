"""The record as a FHIR document (HL7 FHIR R4, 4.0.1: http://hl7.org/fhir/R4).

A Bundle of the type document: a Composition with the note and its addenda, one Observation a
finding, the patient as an id alone, the recording as a DocumentReference with its hash, and each
who signed as a Provenance. Codes come from free code systems alone (the Human Phenotype Ontology,
UCUM, HL7's own); the ids of this program's record are code systems of its own, so that the
findings can be read back exactly.
"""

from __future__ import annotations

import base64
import json
from typing import Any

from dictate import __version__
from dictate.grammar import Grammar
from dictate.model import Record, Signature
from dictate.render.document import Document, Part, write_document
from dictate.render.fhir_finding import (
    SITES,
    TESTS,
    VALUES,
    clean,
    coding,
    named_id,
    narrative,
    observation,
    ref,
    sentence,
)
from dictate.render.known import Known, known
from dictate.render.standing import HASHES, all_signed, state_words

Data = dict[str, Any]

_PARTICIPATION = "http://terminology.hl7.org/CodeSystem/provenance-participant-type"


def fhir(record: Record, grammar: Grammar) -> str:
    """Write the record of a kept examination as a FHIR R4 document.

    What is not signed is preliminary; what a signed addendum takes out is entered in error.

    Args:
        record: Its open questions stand in the note's text, and in no Observation.
        grammar: Where the words come from.

    Returns:
        JSON text with a line break at its end; ``read_fhir`` gives its findings.

    Raises:
        InputError: The record is kept nowhere.
    """
    about = known(record)
    observations = [observation(grammar, about, row, i) for i, row in enumerate(about.stated)]
    extra: list[Data] = [_patient(about), _author(about)]
    if about.sound_sha256:
        extra.append(_recording(about, about.sound_sha256))
    extra += _signatures(record, about, observations)
    document = write_document(record, grammar)
    composition = _composition(record, grammar, about, document, observations)
    resources = [composition, *extra, *observations]
    bundle = {
        "resourceType": "Bundle",
        "identifier": {"system": "urn:ietf:rfc:3986", "value": f"urn:uuid:{about.id}"},
        "type": "document",
        "timestamp": about.changed,
        "entry": [{"fullUrl": f"urn:uuid:{r['id']}", "resource": r} for r in resources],
    }
    return json.dumps(bundle, ensure_ascii=False, indent=2) + "\n"


def read_fhir(text: str) -> list[tuple[str, str | None, str | None, str]]:
    """The findings of a document that ``fhir`` wrote: (test, site, side, value), in its order.

    Those that were taken out by a signed addendum are left out.
    """
    entries = [entry["resource"] for entry in json.loads(text)["entry"]]
    rows = []
    for one in entries:
        if one["resourceType"] != "Observation" or one["status"] == "entered-in-error":
            continue
        codes = {
            coded["system"]: coded["code"]
            for part in ("code", "bodySite", "valueCodeableConcept", "dataAbsentReason")
            for coded in one.get(part, {}).get("coding", [])
        }
        places = codes.get(SITES, "").split("/")
        side = next((place for place in places if place in ("right", "left")), None)
        site = next((place for place in places if place and place != side), None)
        rows.append((codes[TESTS], site, side, _value_of(one, codes)))
    return rows


def _value_of(one: Data, codes: dict[str, str]) -> str:
    if VALUES in codes:
        return codes[VALUES]
    quantity = one["valueQuantity"]
    return f"{quantity['value']} {quantity['unit']}"


def _patient(about: Known) -> Data:
    """By an id alone. Nobody says whose id it is, so that no two patients become one by it."""
    identifier = [{"value": clean(about.patient)}] if about.patient.strip() else []
    patient = {"resourceType": "Patient", "id": named_id(about, "patient")}
    return {**patient, **({"identifier": identifier} if identifier else {})}


def _author(about: Known) -> Data:
    if about.signed_by:
        return _person(about, "author", about.signed_by)
    name = [{"name": f"dictate {__version__}", "type": "model-name"}]
    return {"resourceType": "Device", "id": named_id(about, "author"), "deviceName": name}


def _person(about: Known, name: str, by: str) -> Data:
    text = [{"text": clean(by)}]
    return {"resourceType": "Practitioner", "id": named_id(about, name), "name": text}


def _composition(
    record: Record, grammar: Grammar, about: Known, document: Document, observations: list[Data]
) -> Data:
    state = clean(state_words(record))
    body: Data = {
        "resourceType": "Composition",
        "id": named_id(about, "composition"),
        "language": "en",
        "identifier": {
            "system": "urn:ietf:rfc:3986",
            "value": f"urn:uuid:{about.examination}",
        },
        "status": _status(record),
        "type": {"text": "Neurological examination note"},
        "subject": ref(about, "patient"),
        "date": about.changed,
        "author": [ref(about, "author")],
        "title": f"{document.title} ({state[:1].lower()}{state[1:]})",
        "section": [
            {"title": "State", "text": narrative([document.caution, document.patient])},
            *(_section(part) for part in document.parts),
        ],
    }
    if observations:
        lines = [sentence(grammar, about, row) for row in about.stated]
        body["section"].append(
            {
                "title": "Findings one by one",
                "text": narrative(lines),
                "entry": [{"reference": f"urn:uuid:{one['id']}"} for one in observations],
            }
        )
    if about.signature is not None and all_signed(record):
        party = ref(about, "author")
        body["attester"] = [{"mode": "professional", "time": about.signature.at, "party": party}]
    return body


def _status(record: Record) -> str:
    """Not final while any of it is a draft."""
    if not all_signed(record):
        return "preliminary"
    return "amended" if record.examined and record.examined.addenda else "final"


def _section(part: Part) -> Data:
    title = part.heading or "Also"
    return {"title": clean(title), "text": narrative([*part.paragraphs, *part.items])}


def _recording(about: Known, digest: str) -> Data:
    """The recording, which is not sent along: its hash as a name of its own (RFC 6920)."""
    name = base64.urlsafe_b64encode(bytes.fromhex(digest)).decode().rstrip("=")
    return {
        "resourceType": "DocumentReference",
        "id": named_id(about, "recording"),
        "identifier": [{"system": "urn:ietf:rfc:3986", "value": f"ni:///sha-256;{name}"}],
        "status": "current",
        "description": "The recording that the findings were heard in; it is not part of this.",
        "subject": ref(about, "patient"),
        "content": [{"attachment": {"contentType": "application/octet-stream"}}],
    }


def _signatures(record: Record, about: Known, observations: list[Data]) -> list[Data]:
    """Who signed what: the record's findings, and those of each addendum."""
    if record.examined is None or about.signature is None:
        return []
    signed: list[tuple[int | None, Signature | None]] = [(None, about.signature)]
    signed += [(n, addendum.signature) for n, addendum in enumerate(record.examined.addenda, 1)]
    resources: list[Data] = []
    for number, signature in signed:
        if signature is None or not signature.holds:
            continue
        who = "author" if number is None else f"signer {number}"
        if number is not None:
            resources.append(_person(about, who, signature.by))
        targets = [
            {"reference": f"urn:uuid:{one['id']}"}
            for row, one in zip(about.stated, observations, strict=True)
            if row.addendum == number
        ]
        whole = [ref(about, "composition")] if all_signed(record) or not targets else []
        resources.append(_provenance(about, who, signature, number, [*whole, *targets]))
    return resources


def _provenance(
    about: Known, who: str, signature: Signature, number: int | None, targets: list[Data]
) -> Data:
    kind = coding(_PARTICIPATION, "verifier", "Verifier")
    what = "The record" if number is None else f"Addendum {number}"
    lines = [
        f"{what}: checked and signed by {signature.by}.",
        f"SHA-256 of the record {signature.record_sha256}, of the note {signature.note_sha256}.",
        HASHES,
    ]
    return {
        "resourceType": "Provenance",
        "id": named_id(about, f"provenance {number or 0}"),
        "text": narrative(lines),
        "target": targets,
        "recorded": signature.at,
        "agent": [{"type": {"coding": [kind]}, "who": ref(about, who)}],
    }
