"""What every recogniser keeps to."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.errors import UsageError
from dictate.model import Utterance
from dictate.recognise import model_check
from dictate.recognise.recogniser import RECOGNISERS, find_recogniser
from dictate.recognise.replay import write_utterances


def hear(name, tmp_path, request):
    """Feed a recogniser in its own way."""
    kind = find_recogniser(name)
    if name == "typed":
        return kind(), list(kind().utterances("tone normal\nleft toe up"))
    if name == "replay":
        saved = tmp_path / "words.jsonl"
        list(write_utterances(saved, [Utterance("u1", "no drift", 0.1, 0.9)]))
        return kind(), list(kind().utterances(saved))
    sound = FileSource(Path(model_check.__file__).with_name("check.flac"))
    if name == "three":
        pair = find_recogniser("pair")(request.getfixturevalue("model_folder"))
        made = kind(pair, request.getfixturevalue("third"))
    else:
        made = kind(request.getfixturevalue("model_folder"))
    return made, list(made.utterances(sound))


@pytest.mark.parametrize("name", RECOGNISERS)
def test_every_recogniser(name, tmp_path, request):
    made, heard = hear(name, tmp_path, request)
    assert made.name == name
    assert heard
    assert [found.id for found in heard] == [f"u{n}" for n in range(1, len(heard) + 1)]
    for found in heard:
        assert found.text.strip()
        for word in found.words:
            assert found.text[word.start : word.end] == word.text
            assert found.start <= word.start_s <= word.end_s <= found.end
            assert 0 <= word.confidence <= 1


def test_unknown_name_is_refused():
    with pytest.raises(UsageError, match="pair, replay, three, typed, vosk"):
        find_recogniser("none")
