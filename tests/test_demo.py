"""The invented examinations of audio_demo give the records that stand beside them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import yaml

from dictate.grammar import load_grammar
from dictate.model import Finding, Record
from dictate.narrate import narrate
from dictate.recognise.model_store import find_model
from dictate.render.note import write_note
from dictate.session import Session

DEMO = Path(__file__).resolve().parents[1] / "audio_demo"
SCRIPTS = sorted(p for p in DEMO.glob("*.txt") if not p.name.endswith(".note.txt"))


def _row(finding: Finding) -> str:
    parts = (finding.test, finding.site, finding.side, finding.value)
    return " ".join(part or "-" for part in parts)


def _record(path: Path) -> Record:
    session = Session()
    narrate(session, path)
    return session.record()


def _expected(script: Path) -> dict[str, list[str]]:
    return yaml.safe_load(script.with_suffix(".expected.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def heard() -> Record:
    """The record of the recording of demo.txt."""
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    return _record(DEMO / "demo.flac")


def test_every_script_has_its_expected_record() -> None:
    assert len(SCRIPTS) >= 7
    assert {script.stem for script in SCRIPTS} == {
        path.name.removesuffix(".expected.yaml") for path in DEMO.glob("*.expected.yaml")
    }


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.stem)
def test_a_typed_script_gives_exactly_its_record(script: Path) -> None:
    record = _record(script)
    expected = _expected(script)
    assert Counter(map(_row, record.findings)) == Counter(expected["find"])
    assert [question.kind for question in record.questions] == expected["ask"]


@pytest.mark.parametrize("note", sorted(DEMO.glob("*.note.txt")), ids=lambda note: note.name)
def test_a_script_gives_the_note_that_stands_beside_it(note: Path) -> None:
    """Made again with: dictate note audio_demo/NAME.txt --no-ask > audio_demo/NAME.note.txt"""
    script = DEMO / f"{note.name.removesuffix('.note.txt')}.txt"
    assert write_note(_record(script), load_grammar()).strip() == note.read_text("utf-8").strip()


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.stem)
def test_nothing_typed_is_dropped(script: Path) -> None:
    lines = script.read_text(encoding="utf-8").splitlines()
    assert [utterance.text for utterance in _record(script).utterances] == lines


def test_the_recording_gives_no_finding_that_nobody_spoke(heard: Record) -> None:
    expected = Counter(_expected(DEMO / "demo.txt")["find"])
    assert not Counter(map(_row, heard.findings)) - expected


def test_the_recording_is_understood_and_asked_about(heard: Record) -> None:
    expected = _expected(DEMO / "demo.txt")
    assert len(heard.findings) > len(expected["find"]) / 2
    assert set(expected["ask"]) <= {question.kind for question in heard.questions}
