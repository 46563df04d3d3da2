"""Both listeners over one sound: agreement, an open one that is missing, and its notice."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.errors import ModelError
from dictate.narrate import narrate
from dictate.recognise import model_check, pair
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.vosk import VoskEngine, VoskModel
from dictate.render.note import write_note
from dictate.render.sections import write_sections
from dictate.render.unchecked import MARK
from dictate.session import Session

DEMO = Path(__file__).resolve().parents[2] / "audio_demo" / "demo.flac"


@pytest.fixture(scope="module")
def model(model_folder):
    return VoskModel(model_folder)


def hear(recogniser):
    sound = Path(model_check.__file__).with_name("check.flac")
    return list(recogniser.utterances(FileSource(sound)))


def test_both_hear_the_same_seconds(model):
    recogniser = PairRecogniser(model)
    (found,) = hear(recogniser)
    assert found.text.replace(",", "") == model_check.SAID
    assert [hearing.listener for hearing in found.hearings] == ["taught", "open"]
    assert all(word.agreed for word in found.words)
    assert found.disputed == ()
    assert recogniser.notices == []


def test_without_an_open_listener_it_goes_on_and_says_so(model, monkeypatch):
    def start(model, phrases=None, ways=0):
        if phrases is None:
            raise ModelError("no memory")
        return VoskEngine(model, phrases, ways)

    monkeypatch.setattr(pair, "VoskEngine", start)
    recogniser = PairRecogniser(model)
    (found,) = hear(recogniser)
    assert found.text == model_check.SAID
    assert found.hearings == ()
    assert [word.agreed for word in found.words] == [None] * len(found.words)
    assert len(recogniser.notices) == 1
    assert "second listener failed (no memory)" in recogniser.notices[0]


def test_a_note_of_what_one_listener_heard_says_so_in_each_section(
    model_folder, monkeypatch, tmp_path
):
    def start(model, phrases=None, ways=0):
        if phrases is None:
            raise ModelError("no memory")
        return VoskEngine(model, phrases, ways)

    monkeypatch.setattr(pair, "VoskEngine", start)
    session = Session()
    narrate(session, DEMO)
    record = session.record()
    assert record.findings and all(finding.checked is False for finding in record.findings)
    note = " ".join(write_note(record, session.grammar).split())
    assert note.count(MARK) == len(write_sections(record, session.grammar)) + 1  # and the notice
    assert "The second listener failed (no memory)" in note
