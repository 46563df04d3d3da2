"""FHIR R4 (HL7, 4.0.1): judged by HAPI's validator, and read back."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from dictate.errors import InputError
from dictate.examples import cases
from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
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


@pytest.fixture(scope="module")
def validator(tmp_path_factory) -> list[str]:
    """The command that validates files named after it (HAPI FHIR, Apache-2.0, from Maven)."""
    if shutil.which("mvn") is None or shutil.which("java") is None:
        pytest.skip("needs Java 17 and Maven (apt-get install default-jdk-headless maven)")
    libraries = Path.home() / ".cache" / "dictate-tests" / "fhir-validator"
    if not (libraries / "whole").exists():
        done = subprocess.run(
            ["mvn", "-q", "-B", "dependency:copy-dependencies", f"-DoutputDirectory={libraries}"],
            cwd=VALIDATOR, capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0, done.stdout[-2000:]
        (libraries / "whole").touch()
    return ["java", "-Xmx1g", "-cp", f"{libraries}/*", str(VALIDATOR / "Validate.java")]


def test_every_example_of_the_grammar_validates(
    validator, session, draft, signed, tmp_path
) -> None:
    files = []
    grammar = load_grammar()
    records = [draft, signed]
    for case in cases(grammar):
        one = Session(grammar)
        for number, line in enumerate((*case.example.before, case.example.say)):
            one.hear(Utterance(f"u{number}", line))
        records.append(replace(one.record(), examined=KEPT))
    for number, record in enumerate(records):
        assert read_fhir(fhir(record, grammar)) == _rows(record)
    # one document of all examples is judged in seconds, hundreds of small ones in minutes
    for number in range(0, len(records), 60):
        some = records[number : number + 60]
        whole = replace(
            signed if number else draft,
            findings=tuple(f for record in some for f in record.findings),
            utterances=tuple(u for record in some for u in record.utterances),
        )
        path = tmp_path / f"{number}.json"
        path.write_text(fhir(whole, grammar), encoding="utf-8")
        files.append(str(path))
    done = subprocess.run([*validator, *files], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout[-3000:]
    assert f"{len(files)} files, 0 faults" in done.stdout


def test_the_validator_finds_faults(validator, session, draft, tmp_path) -> None:
    data = json.loads(fhir(draft, session.grammar))
    data["entry"][0]["resource"]["status"] = "perhaps"
    path = tmp_path / "faulty.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    assert subprocess.run([*validator, str(path)], capture_output=True).returncode == 1
