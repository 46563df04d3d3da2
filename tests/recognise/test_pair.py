"""Both listeners over one sound: agreement, an open one that is missing, and its notice."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.errors import ModelError
from dictate.recognise import model_check, pair
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.vosk import VoskEngine, VoskModel


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
    def start(model, phrases=None):
        if phrases is None:
            raise ModelError("no memory")
        return VoskEngine(model, phrases)

    monkeypatch.setattr(pair, "VoskEngine", start)
    recogniser = PairRecogniser(model)
    (found,) = hear(recogniser)
    assert found.text == model_check.SAID
    assert found.hearings == ()
    assert [word.agreed for word in found.words] == [None] * len(found.words)
    assert len(recogniser.notices) == 1
    assert "second listener failed (no memory)" in recogniser.notices[0]
