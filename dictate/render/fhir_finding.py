"""One finding as an Observation (HL7 FHIR R4).

Every concept stands for one thing: the code for what was examined and where, the value for what was
found, with all its details in words, since a reader may show nothing else.
"""

from __future__ import annotations

import re
import uuid
from html import escape
from typing import Any

from dictate.grammar import Grammar
from dictate.grammar.details import arrange
from dictate.grammar.names import (
    NOT_DONE,
    WHOLE,
    capital,
    is_grade,
    plain,
    site_words,
    value_words,
)
from dictate.grammar.places import seen, spot_of
from dictate.grammar.wording import finding_phrase, own_template, target_label
from dictate.model import Finding
from dictate.render.known import Known
from dictate.render.spoken import heard
from dictate.render.standing import Stated
from dictate.render.terms import term_of
from dictate.render.unchecked import MARK, marked

Data = dict[str, Any]

#: The code systems of this program's own ids: for tests, sites, values and sides (UUID, 2.25).
OWN = "urn:oid:2.25.118340722459033226371042318859216127713"
TESTS, SITES, VALUES, SIDES, DETAILS = (f"{OWN}.{number}" for number in (1, 2, 3, 4, 6))
_UCUM = "http://unitsofmeasure.org"
_ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
_CATEGORY = "http://terminology.hl7.org/CodeSystem/observation-category"
_INTERPRETATION = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
_BODY_SITE = "http://hl7.org/fhir/StructureDefinition/bodySite"
_XHTML = "http://www.w3.org/1999/xhtml"
#: FHIR strings hold no control characters but tab and line ends.
_CONTROL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def observation(grammar: Grammar, about: Known, row: Stated, number: int) -> Data:
    """The Observation of one finding.

    Args:
        grammar: Where the words come from.
        about: What is known of the record.
        row: The finding and how it stands.
        number: Its place in the record, for its id.
    """
    finding = row.finding
    body: Data = {
        "resourceType": "Observation",
        "id": named_id(about, f"observation {number}"),
        "text": narrative([sentence(grammar, about, row)]),
        "status": _status(row),
        "category": [{"coding": [coding(_CATEGORY, "exam", "Exam")]}],
        "code": _code(grammar, finding),
        "subject": ref(about, "patient"),
        "effectiveDateTime": about.begun,
        "performer": [ref(about, "author")] if about.signed_by and row.addendum is None else [],
        "interpretation": _interpretation(finding),
        "note": [{"text": clean(text)} for text in _notes(about, row)],
        "bodySite": _place(grammar, finding),
        "derivedFrom": [ref(about, "recording")] if about.sound_sha256 and heard(finding) else [],
        "component": [*_details(finding), *_term(grammar, finding)],
        **_value(grammar, finding),
    }
    structure = _structure(grammar, about, finding)
    if structure is not None:
        body["contained"] = [structure]
        site = {"url": _BODY_SITE, "valueReference": {"reference": f"#{structure['id']}"}}
        body["extension"] = [site]
    return {key: value for key, value in body.items() if value}


def sentence(grammar: Grammar, about: Known, row: Stated) -> str:
    """The finding in words, with what a reader must know of it."""
    phrase = marked(finding_phrase(grammar, row.finding), row.finding.checked is False)
    said = about.spoken.said(row)
    more = [*([said] if said else []), *_standing(row)]
    return f"{phrase} ({'; '.join(more)})" if more else phrase


def clean(text: str) -> str:
    """Text without what FHIR does not allow."""
    return _CONTROL.sub("\ufffd", text)


def narrative(lines: list[str]) -> Data:
    """Lines of plain text as the text of a resource."""
    body = "".join(f"<p>{escape(clean(line))}</p>" for line in lines)
    return {"status": "generated", "div": f'<div xmlns="{_XHTML}">{body}</div>'}


def coding(system: str, code: str, display: str) -> Data:
    """A code of a system."""
    return {"system": system, "code": code, "display": display}


def named_id(about: Known, name: str) -> str:
    """An id that is the same each time this record is written."""
    return str(uuid.uuid5(uuid.UUID(about.id), name))


def ref(about: Known, name: str) -> Data:
    """A reference to another resource of the document."""
    return {"reference": f"urn:uuid:{named_id(about, name)}"}


def _status(row: Stated) -> str:
    if row.withdrawn:
        return "entered-in-error"
    return "final" if row.state == "signed" else "preliminary"


def _standing(row: Stated) -> list[str]:
    words = []
    if row.addendum is not None:
        words.append(f"of addendum {row.addendum}")
    if row.taken_out is not None:
        unsigned = "" if row.withdrawn else ", which is not signed"
        words.append(f"taken out by addendum {row.taken_out}{unsigned}")
    return words


def _code(grammar: Grammar, finding: Finding) -> Data:
    """What was examined and where, without what was found: "no drift" is no name of a test."""
    name = grammar.tests[finding.test].name
    said = finding.site_said
    where = target_label(grammar, finding.test, finding.site, finding.side)
    text = " ".join(filter(None, (finding.side, said, name))) if said else where
    return {"coding": [coding(TESTS, finding.test, name)], "text": capital(clean(text))}


def _interpretation(finding: Finding) -> list[Data]:
    if finding.normal is None or finding.value in NOT_DONE:
        return []
    code = ("N", "Normal") if finding.normal else ("A", "Abnormal")
    return [{"coding": [coding(_INTERPRETATION, *code)]}]


def _place(grammar: Grammar, finding: Finding) -> Data:
    """Site and side as one concept."""
    if finding.site is None and finding.side is None:
        return {}
    name = finding.site_said or _site_name(grammar, finding)
    text = " ".join(word for word in (finding.side, name) if word)
    code = "/".join(word for word in (finding.site, finding.side) if word)
    return {"coding": [coding(SITES, code, clean(text))], "text": clean(text)}


def _site_name(grammar: Grammar, finding: Finding) -> str:
    """The site's name; of a whole test what is known of it ("left side", "part not named")."""
    if finding.site is None:
        return ""
    if finding.site != WHOLE:
        return site_words(grammar, finding.test, finding.site)
    said = seen(grammar, finding.test, spot_of(finding), finding.value).site is not None
    if finding.side is not None:
        return "side, throughout" if said else "side"
    return "throughout" if said else "part not named"


def _structure(grammar: Grammar, about: Known, finding: Finding) -> Data | None:
    """Side and site apart, for programs that keep them apart."""
    if finding.side is None:
        return None
    codes = [coding(SIDES, finding.side, capital(finding.side))]
    if grammar.ontology is not None:
        term = grammar.ontology.sides[finding.side]
        codes.append(coding(grammar.ontology.system, term.id, term.label))
    structure: Data = {"resourceType": "BodyStructure", "id": "site"}
    if finding.site is not None:
        name = clean(finding.site_said or _site_name(grammar, finding))
        structure["location"] = {"coding": [coding(SITES, finding.site, name)], "text": name}
    structure["locationQualifier"] = [{"coding": codes}]
    structure["patient"] = ref(about, "patient")
    return structure


def _value(grammar: Grammar, finding: Finding) -> Data:
    """The value: a quantity where it has a unit, else a concept, or the reason why it has none."""
    spec = grammar.tests[finding.test]
    details = arrange(grammar, finding.test, finding.value, finding.detail)
    if own_template(spec, finding.value) or details.noun is not None:
        text = finding_phrase(grammar, finding)
    else:
        words = details.around(value_words(grammar, finding.test, finding.value))
        text = details.closing(words)
    text = clean(text)
    own = coding(VALUES, finding.value, plain(finding.value))
    if finding.value in NOT_DONE:
        reason = coding(_ABSENT, "not-performed", "Not Performed")
        return {"dataAbsentReason": {"coding": [reason, own], "text": text}}
    number, _, unit = finding.value.partition(" ")
    scale = grammar.scales[spec.scale] if spec.scale else None
    measure = scale.unit if scale is not None else None
    if measure is not None and is_grade(grammar, finding.test, finding.value):
        size = float(number) if "." in number else int(number)
        code = measure.ucum or unit
        return {"valueQuantity": {"value": size, "unit": unit, "system": _UCUM, "code": code}}
    return {"valueCodeableConcept": {"coding": [own], "text": text}}


def _details(finding: Finding) -> list[Data]:
    code = {"coding": [coding(DETAILS, "detail", "detail")], "text": "Detail"}
    return [{"code": code, "valueString": clean(d)} for d in finding.detail if d.strip()]


def _term(grammar: Grammar, finding: Finding) -> list[Data]:
    """The ontology's term for the finding: wider or narrower than the value, so no coding of it."""
    term = term_of(grammar, finding)
    if term is None or grammar.ontology is None:
        return []
    code = {"coding": [coding(DETAILS, "term", "ontology term")], "text": "Ontology term"}
    concept = {"coding": [coding(grammar.ontology.system, term.id, term.label)], "text": term.label}
    return [{"code": code, "valueCodeableConcept": concept}]


def _notes(about: Known, row: Stated) -> list[str]:
    said = about.spoken.said(row)
    alone = [capital(f"{MARK}.")] if row.finding.checked is False else []
    return [*([capital(said)] if said else []), *alone, *(capital(w) for w in _standing(row))]
