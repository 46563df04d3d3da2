"""The adapted listener itself, where ``dictate setup`` has made it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from dictate.audio.file import FileSource
from dictate.cli import main
from dictate.errors import ModelError
from dictate.recognise import model_check
from dictate.recognise.adapted import AdaptedListener
from dictate.recognise.ear_store import find_ear
from dictate.recognise.weighing import bare

SOUND = Path(model_check.__file__).with_name("check.flac")


@pytest.fixture(scope="module")
def ear() -> AdaptedListener:
    """The real one."""
    try:
        return AdaptedListener(find_ear())
    except ModelError as error:
        pytest.skip(f"there is no adapted listener here: {error}")


@pytest.fixture(scope="module")
def samples() -> bytes:
    """The built-in sound."""
    return b"".join(chunk.samples for chunk in FileSource(SOUND).chunks())


def test_it_hears_the_built_in_sound_and_when(ear: AdaptedListener, samples: bytes) -> None:
    words = ear.hear(samples, 10.0)
    assert [bare(word.text) for word in words] == model_check.SAID.split()
    whole_s = len(samples) / 32_000
    assert all(10.0 - 0.3 <= w.start_s <= w.end_s <= 10.0 + whole_s + 0.3 for w in words)
    assert [w.start_s for w in words] == sorted(w.start_s for w in words)
    assert ear.hear(samples, 10.0) == words


def test_what_was_said_is_likelier_than_its_other_side(
    ear: AdaptedListener, samples: bytes
) -> None:
    ear.hear(samples, 0.0)
    said, turned, other = ear.weigh(
        [model_check.SAID, "right arm and left leg", "what a lovely morning it is"]
    )
    assert said > turned
    assert said > other


@pytest.mark.parametrize("seconds", [0.3, 5.0, 20.0])
def test_from_silence_and_noise_comes_nothing(ear: AdaptedListener, seconds: float) -> None:
    count = round(seconds * 16_000)
    noise = np.random.default_rng(1).normal(0, 30, count).astype("<i2")
    assert ear.hear(b"\0\0" * count, 0.0) == ()
    assert ear.hear(noise.tobytes(), 0.0) == ()


def test_nothing_can_be_weighed_where_nothing_was_heard(ear: AdaptedListener) -> None:
    ear.hear(b"\0\0" * 16_000, 0.0)
    with pytest.raises(ModelError):
        ear.weigh(["clonus"])


def test_the_program_listens_with_it(ear: AdaptedListener) -> None:
    heard = CliRunner().invoke(main, ["note", str(SOUND), "--as", "record"])
    record = json.loads(heard.stdout)
    names = [hearing["listener"] for u in record["utterances"] for hearing in u["hearings"]]
    assert names == ["taught", "open", "adapted"]
    assert record["notices"] == []
