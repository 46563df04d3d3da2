"""Voice activity: against human speakers with known silence, and in plain silence."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from dictate.audio.activity import FRAME, VoiceActivity
from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ, AudioChunk

SPEECH = Path(__file__).parents[3] / "shared" / "data" / "human_speech"


def blocks(samples, start_s=0.0, size=800):
    for at in range(0, len(samples), size):
        yield AudioChunk(samples[at : at + size].astype("<i2").tobytes(), start_s + at / RATE_HZ)


def spans(activity, samples):
    """The seconds at which each stretch of speech that was noticed ended."""
    found = []
    for chunk in blocks(samples):
        if activity.take(chunk):
            found.append(activity.last_speech_s)
    return found


def noise(seconds, level, seed=1):
    return np.random.default_rng(seed).normal(0, level, round(seconds * RATE_HZ))


@pytest.mark.parametrize("level", [0, 1, 30, 300])
def test_nobody_speaks_in_noise(level):
    activity = VoiceActivity()
    found = spans(activity, noise(20, level).astype(np.int16))
    assert len(found) * FRAME / RATE_HZ < 0.2


def test_a_hole_starts_the_judging_anew():
    activity = VoiceActivity()
    activity.take(AudioChunk(bytes(1600), 0.0))
    activity.take(AudioChunk(bytes(1600), 7.0))
    assert activity._judged_s == pytest.approx(7.0 + FRAME / RATE_HZ)


@pytest.fixture(scope="module")
def clips():
    if not SPEECH.is_dir():
        pytest.skip("the human recordings (../shared/data/human_speech) are not here")
    with (SPEECH / "manifest.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if not row["file"].startswith("sentences")]
    return [SPEECH / row["file"] for row in rows][::6]


def test_lone_words_of_human_speakers_between_known_silences(clips):
    """One second of silence (about -60 dBFS) before and after each word."""
    missed = late = false_frames = silent_frames = 0
    for number, clip in enumerate(clips):
        word = np.frombuffer(b"".join(c.samples for c in FileSource(clip).chunks()), "<i2")
        sound = noise(2 + len(word) / RATE_HZ, 20, number)
        start = RATE_HZ
        sound[start : start + len(word)] += word
        found = spans(VoiceActivity(), np.clip(sound, -32768, 32767).astype(np.int16))
        end_s = 1 + len(word) / RATE_HZ
        missed += not any(1.0 <= at <= end_s + 0.1 for at in found)
        # the clips have silence of their own at their ends; the network lets go within 0.3 s
        false_frames += sum(at < 0.95 or at > end_s + 0.3 for at in found)
        late += bool(found) and found[-1] > end_s + 0.3
        silent_frames += round(1.7 / (FRAME / RATE_HZ))
    print(f"{len(clips)} words: {missed} missed; {false_frames} of {silent_frames} silent frames")
    assert missed == 0
    assert false_frames / silent_frames < 0.01
    assert late == 0
