"""FHIR R4 (HL7, 4.0.1): judged by HAPI's validator, and read back."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from dictate.errors import InputError
from dictate.examples import cases
from dictate.model import Finding, Record, Utterance
from dictate.render.fhir import fhir, read_fhir
from dictate.session import Session
from tests.handover.conftest import KEPT, SIGNATURE

VALIDATOR = Path(__file__).parent / "validator"


def _rows(record: Record) -> list[tuple[str, str | None, str | None, str]]:
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


def test_findings_read_back(session, draft, signed) -> None:
    assert len(draft.findings) > 20
    for record in (draft, signed):
        assert read_fhir(fhir(record, session.grammar)) == _rows(record)


def test_a_draft_is_preliminary_and_a_signed_note_names_who_signed(session, draft, signed) -> None:
    kinds = {}
    for name, record in (("draft", draft), ("signed", signed)):
        entries = [e["resource"] for e in json.loads(fhir(record, session.grammar))["entry"]]
        assert entries[0]["resourceType"] == "Composition"
        kinds[name] = {e["resourceType"] for e in entries}
        states = {
            e["status"] for e in entries if e["resourceType"] in {"Composition", "Observation"}
        }
        assert states == {"preliminary" if name == "draft" else "final"}
    assert "Provenance" not in kinds["draft"] and "Practitioner" not in kinds["draft"]
    assert {"Provenance", "Practitioner", "DocumentReference"} <= kinds["signed"]


def _observations(record: Record, session: Session) -> list[dict]:
    entries = [e["resource"] for e in json.loads(fhir(record, session.grammar))["entry"]]
    return [one for one in entries if one["resourceType"] == "Observation"]


def test_a_code_names_the_test_and_its_place_and_never_the_value(session, draft) -> None:
    """ "No clonus: absent" could be read as clonus that is there."""
    clonus = next(
        one for one in _observations(draft, session) if "clonus" in one["code"]["text"].lower()
    )
    assert clonus["code"]["text"] == "Clonus"
    assert clonus["valueCodeableConcept"]["text"] == "No clonus"


def test_each_concept_has_one_meaning(session, signed) -> None:
    """Several codings of one concept are translations of each other (R4, CodeableConcept)."""
    for one in _observations(signed, session):
        for part in ("code", "bodySite", "valueCodeableConcept"):
            assert len(one.get(part, {}).get("coding", [])) < 2
    toe = next(one for one in _observations(signed, session) if "plantar" in str(one["code"]))
    assert (toe["bodySite"]["text"], toe["valueCodeableConcept"]["text"]) == ("left", "extensor")
    assert toe["component"][0]["valueCodeableConcept"]["text"] == "Babinski sign"
    qualifier = toe["contained"][0]["locationQualifier"][0]["coding"]
    assert [coding["display"] for coding in qualifier] == ["Left", "Left"]


@pytest.mark.parametrize(
    ("side", "value", "words"),
    [
        (None, "normal", "part not named"),
        (None, "5", "throughout"),
        ("left", "normal", "left side"),
        ("left", "5", "left side, throughout"),
    ],
)
def test_what_was_said_of_no_part_is_no_statement_on_every_part(
    session, draft, side, value, words
) -> None:
    finding = Finding("strength", "all", side, value, (), True)
    one = _observations(replace(draft, findings=(finding,)), session)[0]
    assert one["bodySite"]["text"] == words


def test_a_detail_stands_with_its_value(session, draft) -> None:
    gait = next(one for one in _observations(draft, session) if one["code"]["text"] == "Gait")
    assert gait["dataAbsentReason"]["text"] == "not tested (hip fracture)"
    assert [part["valueString"] for part in gait["component"]] == ["hip fracture"]


def test_what_only_one_listener_heard_says_so(session, draft) -> None:
    alone = replace(draft, findings=(replace(draft.findings[0], checked=False),))
    one = _observations(alone, session)[0]
    assert "Heard by one listener only." in [note["text"] for note in one["note"]]
    assert "heard by one listener only" in one["text"]["div"]


def test_only_what_was_heard_comes_from_the_recording(session, draft) -> None:
    assert not any("derivedFrom" in one for one in _observations(draft, session))
    assert all(len(one["derivedFrom"]) == 1 for one in _observations(_heard(draft), session))


def test_an_addendum_stands_in_the_note_and_what_it_takes_out_is_in_error(session, amended) -> None:
    entries = [e["resource"] for e in json.loads(fhir(amended, session.grammar))["entry"]]
    composition = entries[0]
    # an addendum that is not signed leaves the whole unfinished
    assert (composition["status"], "attester" in composition) == ("preliminary", False)
    titles = [section["title"] for section in composition["section"]]
    assert any(title.startswith("Addendum 1 (signed by B. Other") for title in titles)
    assert any(title.startswith("Addendum 2") and "not signed" in title for title in titles)
    states = {}
    for one in entries:
        if one["resourceType"] == "Observation":
            states.setdefault(one["code"]["text"], []).append(one["status"])
    assert states["Right biceps strength"] == ["entered-in-error", "final"]
    assert states["Romberg"] == ["final"]
    assert any("taken out by addendum 2, which is not signed" in str(e) for e in entries[1:])
    assert any("entered by hand" in str(one.get("note")).lower() for one in entries)
    strengths = [r for r in read_fhir(fhir(amended, session.grammar)) if r[1] == "biceps"]
    assert strengths == [("strength", "biceps", "right", "4")]
    whole = replace(
        amended, examined=replace(amended.examined, addenda=amended.examined.addenda[:1])
    )
    first = json.loads(fhir(whole, session.grammar))["entry"][0]["resource"]
    assert (first["status"], "attester" in first) == ("amended", True)


def test_two_patients_with_one_number_stay_two(session, signed) -> None:
    """A number without the house that gave it is the same for nobody else."""
    entries = [e["resource"] for e in json.loads(fhir(signed, session.grammar))["entry"]]
    patient = next(one for one in entries if one["resourceType"] == "Patient")
    assert patient["identifier"] == [{"value": KEPT.patient}]


def test_a_signature_that_no_longer_holds_makes_a_draft(session, signed) -> None:
    broken = replace(SIGNATURE, holds=False)
    record = replace(signed, examined=replace(KEPT, signature=broken))
    assert '"final"' not in fhir(record, session.grammar)


def test_the_words_that_were_spoken_are_kept(session, draft) -> None:
    assert "right biceps four plus" in fhir(draft, session.grammar)


def test_only_free_code_systems(session, signed) -> None:
    text = fhir(signed, session.grammar)
    systems = {line.split('"')[3] for line in text.splitlines() if '"system":' in line}
    free = ("urn:", "http://terminology.hl7.org/", "http://unitsofmeasure.org",
            "http://human-phenotype-ontology.org")  # fmt: skip
    assert systems and all(system.startswith(free) for system in systems)


def test_what_is_kept_nowhere_is_refused(session) -> None:
    with pytest.raises(InputError, match="Keep the examination"):
        fhir(session.record(), session.grammar)


def test_spoken_markup_stays_text(session, draft) -> None:
    spoken = replace(
        draft, utterances=(*draft.utterances, Utterance("x", "<script>", kind="remark"))
    )
    divs = [line for line in fhir(spoken, session.grammar).splitlines() if '"div"' in line]
    assert any("&lt;script&gt;" in div for div in divs)
    assert not any("<script>" in div for div in divs)
    odd = replace(draft, utterances=(*draft.utterances, Utterance("x", "\x0b", kind="remark")))
    assert "\\u000b" not in fhir(odd, session.grammar)


def _validator() -> list[str]:
    """The command that validates files named after it (HAPI FHIR, Apache-2.0, from Maven)."""
    if shutil.which("mvn") is None or shutil.which("java") is None:
        pytest.skip("needs Java 17 and Maven (apt-get install default-jdk-headless maven)")
    libraries = Path.home() / ".cache" / "dictate-tests" / "fhir-validator"
    if not (libraries / "whole").exists():
        done = subprocess.run(
            ["mvn", "-q", "-B", "dependency:copy-dependencies", f"-DoutputDirectory={libraries}"],
            cwd=VALIDATOR, capture_output=True, text=True,
        )  # fmt: skip
        if done.returncode and not os.environ.get("CI"):
            pytest.skip("Maven could not bring the validator")
        assert done.returncode == 0, done.stdout[-2000:]
        (libraries / "whole").touch()
    return ["java", "-Xmx1g", "-cp", f"{libraries}/*", str(VALIDATOR / "Validate.java")]


def _heard(record: Record) -> Record:
    """The record as if it came from a recording, some of it heard by one listener only."""
    findings = tuple(
        replace(
            finding,
            said=tuple(replace(place, start_s=1.0, end_s=2.0) for place in finding.said),
            checked=number % 2 == 0,
        )
        for number, finding in enumerate(record.findings)
    )
    return replace(record, findings=findings)


@pytest.fixture(scope="module")
def judged(session, draft, signed, amended, tmp_path_factory) -> dict[str, list[str]]:
    """The validator's faults by file: every example of the grammar, and a file with a fault.

    It takes long to start, so it is started once; one document of many examples is judged in
    seconds, hundreds of small ones in minutes.
    """
    command, grammar = _validator(), session.grammar
    records = [draft, signed]
    for case in cases(grammar):
        one = Session(grammar)
        for number, line in enumerate((*case.example.before, case.example.say)):
            one.hear(Utterance(f"u{number}", line))
        records.append(replace(one.record(), examined=KEPT))
    for record in records:
        assert read_fhir(fhir(record, grammar)) == _rows(record)
    texts = {"amended.json": fhir(amended, grammar), "heard.json": fhir(_heard(signed), grammar)}
    for number in range(0, len(records), 60):
        some = records[number : number + 60]
        whole = replace(
            signed if number else draft,
            findings=tuple(f for record in some for f in record.findings),
            utterances=tuple(u for record in some for u in record.utterances),
        )
        texts[f"{number}.json"] = fhir(whole, grammar)
    faulty = json.loads(fhir(draft, grammar))
    faulty["entry"][0]["resource"]["status"] = "perhaps"
    texts["faulty.json"] = json.dumps(faulty)
    folder = tmp_path_factory.mktemp("documents")
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    done = subprocess.run(
        [*command, *(str(folder / name) for name in texts)], capture_output=True, text=True
    )
    *lines, total = done.stdout.splitlines()
    assert total.startswith(f"{len(texts)} files, "), done.stdout[-2000:]
    return {name: [line for line in lines if line.startswith(f"{name}: ")] for name in texts}


def test_every_example_of_the_grammar_validates(judged) -> None:
    assert len(judged) > 10
    found = {name: faults for name, faults in judged.items() if faults}
    assert found.keys() == {"faulty.json"}, [f for n, f in found.items() if n != "faulty.json"]


def test_the_validator_knows_the_bindings(judged) -> None:
    assert any("perhaps" in fault for fault in judged["faulty.json"])
