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
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Record
from dictate.render.known import Known, known
from dictate.render.terms import excluded, term_of

Data = dict[str, Any]


def phenopacket(record: Record, grammar: Grammar) -> str:
    """Write a record as a phenopacket.

    Args:
        record: Any record; its open questions are in none of it.
        grammar: Holds the terms.

    Returns:
        JSON text as protobuf writes it, with a line break at its end.

    Raises:
        InputError: The grammar names no ontology.
    """
    if grammar.ontology is None:
        raise InputError(
            "This grammar names no ontology, and a phenopacket is made of its terms. "
            "Add common/ontology.yaml to the grammar."
        )
    about = known(record)
    features = [
        _feature(grammar, about, term, finding)
        for finding in record.findings
        if (term := term_of(grammar, finding)) is not None
    ]
    for term, denied in excluded(grammar, record):
        features.append({**_feature(grammar, about, term, denied[0]), "excluded": True})
        features[-1].pop("modifiers", None)
    packet = {
        "id": about.id,
        "subject": {"id": about.patient},
        "phenotypicFeatures": features,
        "metaData": _meta(about, grammar.ontology),
    }
    return json.dumps(packet, ensure_ascii=False, indent=2) + "\n"


def _feature(grammar: Grammar, about: Known, term: Term, finding: Finding) -> Data:
    feature: Data = {"type": _class(term), "description": _words(grammar, about, finding)}
    sides = grammar.ontology.sides if grammar.ontology else {}
    if term.sided and finding.side is not None:
        feature["modifiers"] = [_class(sides[finding.side])]
    return feature


def _class(term: TermId) -> Data:
    return {"id": term.id, "label": term.label}


def _words(grammar: Grammar, about: Known, finding: Finding) -> str:
    said = about.said(finding)
    phrase = finding_phrase(grammar, finding)
    return f'{phrase} (said: "{said}")' if said else phrase


def _meta(about: Known, ontology: Ontology) -> Data:
    return {
        "created": about.at,
        "createdBy": about.signed_by or f"dictate {__version__} (a draft, not signed)",
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
