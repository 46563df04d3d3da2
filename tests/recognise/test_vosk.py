"""Vosk: times, joining, gaps, phrases, missing and damaged models."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.audio.source import AudioChunk
from dictate.errors import ModelError
from dictate.recognise import model_check
from dictate.recognise.vosk import VoskModel, VoskRecogniser

PHRASES = [model_check.SAID, "right biceps five", "[unk]"]


@pytest.fixture(scope="module")
def model(model_folder):
    return VoskModel(model_folder)


@pytest.fixture(scope="module")
def spoken():
    """The samples of the built-in recording, and silence after it."""
    path = Path(model_check.__file__).with_name("check.flac")
    return b"".join(chunk.samples for chunk in FileSource(path).chunks()) + bytes(32_000)


def chunks(samples, size=8000, start_s=0.0):
    return [
        AudioChunk(samples[at : at + size], start_s + at / 32_000)
        for at in range(0, len(samples), size)
    ]


def hear(model, source, **options):
    return list(VoskRecogniser(model, **options).utterances(source))


def test_words_are_cut_out_of_the_text_and_keep_times_and_confidence(model, spoken, pieces):
    (found,) = hear(model, pieces(chunks(spoken)), phrases=PHRASES)
    assert (found.id, found.text) == ("u1", model_check.SAID)
    assert [found.text[w.start : w.end] for w in found.words] == model_check.SAID.split()
    assert 0.3 < found.start < found.end < 2.3
    assert all(0.5 < word.confidence <= 1 for word in found.words)


@pytest.mark.parametrize("samples", [b"", bytes(2), bytes(64_000)])
def test_silence_gives_no_utterance(model, pieces, samples):
    assert hear(model, pieces(chunks(samples))) == []


def test_speech_up_to_the_last_sample_is_heard(model, spoken, pieces):
    found = hear(model, pieces(chunks(spoken[: int(1.75 * 32_000)])), phrases=PHRASES)
    assert found[-1].text.startswith("left arm and right")


def test_a_pause_divides_and_times_go_on(model, spoken, pieces):
    found = hear(model, pieces(chunks(spoken + bytes(64_000) + spoken)), phrases=PHRASES)
    assert [(f.id, f.text) for f in found] == [("u1", model_check.SAID), ("u2", model_check.SAID)]
    apart = (len(spoken) + 64_000) / 32_000
    assert found[1].start - found[0].start == pytest.approx(apart, abs=0.15)


def test_missing_sound_divides_and_shifts_the_times(model, spoken, pieces):
    later = chunks(spoken, start_s=100.0)
    found = hear(model, pieces(chunks(spoken) + later), phrases=PHRASES)
    assert [f.text for f in found] == [model_check.SAID] * 2
    assert found[1].start == pytest.approx(100 + found[0].start, abs=0.15)


def test_an_utterance_comes_before_the_sound_ends(model, spoken):
    gone = []

    class Live:
        duration_s, notices = None, []

        def chunks(self):
            for chunk in chunks(spoken + bytes(10 * 32_000)):
                gone.append(chunk.end_s)
                yield chunk

    first = next(VoskRecogniser(model, phrases=PHRASES).utterances(Live()))
    assert gone[-1] - first.end < 3.0


def test_progress_is_told(model, spoken, pieces):
    told = []
    hear(model, pieces(chunks(spoken)), progress=lambda done, total: told.append((done, total)))
    assert told[-1][0] == pytest.approx(told[-1][1]) == pytest.approx(len(spoken) / 32_000)
    assert told == sorted(told)


def test_a_phrase_with_an_unknown_word_is_left_out_whole(model):
    recogniser = VoskRecogniser(model, phrases=[*PHRASES, "right qwertzu"])
    assert recogniser.unheard == ("right qwertzu",)
    with pytest.raises(ModelError, match="no phrase"):
        VoskRecogniser(model, phrases=["right qwertzu", "[unk]"])


def test_missing_model(tmp_path):
    with pytest.raises(ModelError, match="dictate setup"):
        VoskRecogniser(tmp_path / "none")
    with pytest.raises(ModelError, match=r"lacks am/final\.mdl.*dictate setup"):
        VoskRecogniser(tmp_path)


@pytest.mark.parametrize("name", ["am/final.mdl", "graph/Gr.fst", "graph/HCLr.fst"])
@pytest.mark.parametrize("length", [0, 5000])
def test_damaged_model(tmp_path, model_folder, name, length):
    copy = tmp_path / "model"
    shutil.copytree(model_folder, copy)
    with (copy / name).open("r+b") as file:
        file.truncate(length)
    with pytest.raises(ModelError, match="dictate setup"):
        VoskRecogniser(copy)
