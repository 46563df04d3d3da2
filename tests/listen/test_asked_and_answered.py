"""A question said by the voice, heard again by the microphone with the answer over it, recognised
by the speech model: the finding is the answer's, and nothing is the tool's."""

from __future__ import annotations

from importlib.util import find_spec

import numpy as np
import pytest

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk
from dictate.audio.speaker import Sound
from dictate.listen.asking import Answer, Asker
from dictate.model import Utterance
from dictate.recognise.model_store import find_model
from dictate.session import Session

pytestmark = [
    pytest.mark.skipif(find_spec("hibari") is None, reason="no voice is installed"),
    pytest.mark.skipif(find_model() is None, reason="the speech model is not here: dictate setup"),
]

#: When the question is put (seconds).
START_S = 1.0


class Room:
    """What the microphone hears: the tool, and a person."""

    duration_s = None
    notices: list[str] = []  # noqa: RUF012 - never added to

    def __init__(self, sounds: list[tuple[float, bytes, float]]) -> None:
        length = max(
            int(start * RATE_HZ) + len(sound) // SAMPLE_BYTES for start, sound, _ in sounds
        )
        self.mixed = np.random.default_rng(0).normal(0, 15, length + 2 * RATE_HZ)
        for start, sound, loudness in sounds:
            samples = np.frombuffer(sound, "<i2") * loudness
            at = int(start * RATE_HZ)
            self.mixed[at : at + len(samples)] += samples

    def chunks(self):  # type: ignore[no-untyped-def]
        samples = np.clip(self.mixed, -32768, 32767).astype("<i2")
        for at in range(0, len(samples), RATE_HZ // 4):
            yield AudioChunk(samples[at : at + RATE_HZ // 4].tobytes(), at / RATE_HZ)


@pytest.fixture(scope="module")
def recogniser():  # type: ignore[no-untyped-def]
    from dictate.recognise.vosk import VoskModel, VoskRecogniser

    return VoskRecogniser(VoskModel(find_model()))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def real_voice():  # type: ignore[no-untyped-def]
    from dictate.speak.neural import NeuralVoice

    return NeuralVoice()


@pytest.mark.parametrize(("loudness", "after_s"), [(0.1, 0.3), (0.6, 0.8), (0.6, 2.0)])
@pytest.mark.parametrize(
    ("stated", "said", "found"),
    [
        ("deltoid four plus", "left", ("deltoid", "left", "4+")),
        ("right deltoid is, um", "five", ("deltoid", "right", "5")),
        ("right biceps two", "reflexes", ("biceps", "right", "2+")),
    ],
)
def test_the_answer_is_the_examiners(  # type: ignore[no-untyped-def]
    stated, said, found, loudness, after_s, recogniser, real_voice, player
) -> None:
    session = Session()
    session.hear(Utterance("u0", stated))
    asker = Asker(real_voice, player, session)
    asker.tick(START_S, False, 3.0)
    (question,) = player.played
    answer = slower(real_voice.say(said))
    start_s = START_S + player.latency_s
    end_s = start_s + question.duration_s
    room = Room([(start_s, question.samples, loudness), (end_s + after_s, answer.samples, 1.0)])
    results = [asker.sort(utterance) for utterance in recogniser.utterances(room)]
    answers = [result for result in results if isinstance(result, Answer)]
    assert [result for result in results if isinstance(result, Utterance)] == []
    assert len(answers) == 1 and answers[0].heard is not None
    assert [(f.site, f.side, f.value) for f in session.record().findings] == [found]


@pytest.mark.parametrize("loudness", [0.1, 0.6])
@pytest.mark.parametrize(
    "stated", ["deltoid four plus", "right deltoid is, um", "right biceps two"]
)
def test_its_own_voice_alone_is_nothing(  # type: ignore[no-untyped-def]
    stated, loudness, recogniser, real_voice, player
) -> None:
    session = Session()
    session.hear(Utterance("u0", stated))
    asker = Asker(real_voice, player, session)
    asker.tick(START_S, False, 3.0)
    room = Room([(START_S + player.latency_s, player.played[0].samples, loudness)])
    before = session.record()
    heard = list(recogniser.utterances(room))
    assert heard, "the recogniser heard nothing of it"
    assert [asker.sort(utterance) for utterance in heard] == [None] * len(heard)
    assert session.record() == before


def slower(sound: Sound) -> Sound:
    """Another, deeper and slower speaker."""
    samples = np.frombuffer(sound.samples, "<i2").astype(float)
    places = np.arange(0, len(samples) - 1, 0.88)
    return Sound(np.interp(places, np.arange(len(samples)), samples).astype("<i2").tobytes())
