"""The record as a phenopacket: abnormal findings, and signs that were denied, as ontology terms.

GA4GH Phenopacket Schema, version 2.0 (Jacobsen JOB and others, Nature Biotechnology 2022;40:817).
Only findings that the grammar's ontology has a verified term for are in it; the words that were
spoken stand beside each. Nothing is in it for what nobody mentioned.
"""

from __future__ import annotations

import json
from typing import Any

from dictate import __version__
from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.grammar.schema import Ontology, Term, TermId
from dictate.model import Record
from dictate.render.fhir_finding import sentence
from dictate.render.known import Known, known
from dictate.render.standing import Stated, state_words
from dictate.render.terms import excluded, term_of

Data = dict[str, Any]


def phenopacket(record: Record, grammar: Grammar) -> str:
    """Write a record as a phenopacket.

    Args:
        record: Its open questions are in none of it, nor what a signed addendum takes out.
        grammar: Holds the terms.

    Returns:
        JSON text as protobuf writes it, with a line break at its end.

    Raises:
        InputError: The grammar names no ontology, or the record is kept nowhere.
    """
    if grammar.ontology is None:
        raise InputError(
            "This grammar names no ontology, and a phenopacket is made of its terms. "
            "Add common/ontology.yaml to the grammar."
        )
    about = known(record)
    standing = about.standing
    features = [
        _feature(grammar, about, term, row)
        for row in standing
        if (term := term_of(grammar, row.finding)) is not None
    ]
    rows = {id(row.finding): row for row in standing}
    for term, denied in excluded(grammar, [row.finding for row in standing]):
        feature = _feature(grammar, about, term, rows[id(denied[0])])
        feature.pop("modifiers", None)
        features.append({**feature, "excluded": True})
    packet = {
        "id": about.id,
        "subject": {"id": about.patient},
        "phenotypicFeatures": features,
        "metaData": _meta(about, grammar.ontology, state_words(record)),
    }
    return json.dumps(packet, ensure_ascii=False, indent=2) + "\n"


def _feature(grammar: Grammar, about: Known, term: Term, row: Stated) -> Data:
    feature: Data = {"type": _class(term), "description": sentence(grammar, about, row)}
    sides = grammar.ontology.sides if grammar.ontology else {}
    if term.sided and row.finding.side is not None:
        feature["modifiers"] = [_class(sides[row.finding.side])]
    return feature


def _class(term: TermId) -> Data:
    return {"id": term.id, "label": term.label}


def _meta(about: Known, ontology: Ontology, state: str) -> Data:
    return {
        "created": about.changed,
        "createdBy": f"dictate {__version__}",
        "submittedBy": state,
        "resources": [
            {
                "id": ontology.prefix.lower(),
                "name": ontology.name,
                "url": ontology.url,
                "version": ontology.version,
                "namespacePrefix": ontology.prefix,
                "iriPrefix": ontology.namespace,
            }
        ],
        "phenopacketSchemaVersion": "2.0",
    }
