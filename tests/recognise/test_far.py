"""Words spoken far from the microphone are marked, and nothing that is soft in a sentence is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.audio.file import FileSource
from dictate.audio.source import CHUNK_S, RATE_HZ, AudioChunk
from dictate.model import Utterance, Word
from dictate.recognise.far import far_spans, far_stretches, mark_far
from dictate.recognise.joining import HeardWord
from dictate.recognise.pair import PairRecogniser
from dictate.session import Session

DEMO = Path(__file__).resolve().parents[2] / "audio_demo" / "demo.flac"


class Levels:
    """Stands in for the measuring: how far each word is under what is near, by its start."""

    def __init__(self, by_start):
        self.by_start = by_start

    def under_near_db(self, start_s, end_s):
        return self.by_start[start_s]


def words(*given):
    """(word, gap before it, decibels under what is near) to words, and their levels."""
    made, levels, at = [], {}, 0.0
    for text, gap, under in given:
        at = round(at + gap, 3)
        levels[at] = under
        made.append(HeardWord(text, at, round(at + 0.3, 3), 1.0))
        at = round(at + 0.3, 3)
    return tuple(made), Levels(levels)


@pytest.mark.parametrize(
    ("given", "far"),
    [
        ([("tone", 0, 0), ("normal", 0, 2), ("left", 0.4, 11)], ["left"]),
        ([("grip", 0, 0), ("of", 0, 18), ("five", 0, 1)], []),
        ([("toes", 0, 0), ("down", 0, 11)], []),
        ([("neglect", 0, 0), ("absent", 0, 1), ("left", 0, 16)], ["left"]),
        ([("not", 0, 15), ("oriented", 0, 14), ("gait", 0.05, 0)], ["not", "oriented"]),
        ([("gait", 0, 0), ("left", 0.3, 12), ("ankle", 0, 15), ("toe", 0.3, 0)], ["left", "ankle"]),
        ([("gait", 0, 0), ("left", 0.3, 12), ("toe", 0.1, 0)], []),
        ([("left", 0, 12), ("ankle", 0, 12)], ["left", "ankle"]),
        ([], []),
    ],
)
def test_soft_words_are_far_beside_a_pause_or_at_an_end(given, far):
    heard, levels = words(*given)
    (marked,) = mark_far((heard,), levels)
    assert [word.text for word in marked if word.far] == far
    assert [word.text for word in marked] == [word.text for word in heard]


def test_the_stretch_of_the_text():
    text = "tone normal left ankle"
    laid = tuple(
        Word(word, text.index(word), text.index(word) + len(word), float(i), i + 0.5)
        for i, word in enumerate(text.split())
    )
    (stretch,) = far_stretches(laid, [(2.1, 2.4), (3.0, 3.5)], "open")
    assert (text[stretch.start : stretch.end], stretch.instead, stretch.kind) == (
        "left ankle", "", "far",
    )  # fmt: skip
    assert far_spans(Utterance("u1", text, words=laid, disputed=(stretch,))) == [
        (2.0, 2.5), (3.0, 3.5),
    ]  # fmt: skip


class Played:
    """Samples as a source."""

    def __init__(self, sound):
        self.sound, self.notices, self.duration_s = sound, [], len(sound) / RATE_HZ

    def chunks(self):
        step = round(CHUNK_S * RATE_HZ)
        for at in range(0, len(self.sound), step):
            yield AudioChunk(self.sound[at : at + step].tobytes(), at / RATE_HZ)


def samples(path):
    return np.frombuffer(b"".join(c.samples for c in FileSource(path).chunks()), "<i2")


def test_what_another_says_in_the_room_is_asked(model_folder):
    recogniser = PairRecogniser(model_folder)
    demo = samples(DEMO)[: 40 * RATE_HZ]
    whole = list(recogniser.utterances(Played(demo)))
    middle = whole[len(whole) // 2]
    cut = round(((middle.start or 0.0) - 0.2) * RATE_HZ)
    softer = (demo[cut:] * 0.1).astype("<i2")  # 20 dB, as one in the next bed
    utterances = list(recogniser.utterances(Played(np.concatenate([demo[:cut], softer]))))
    made = Session()
    for utterance in utterances:
        made.take(utterance)
    record = made.record()
    near = {u.id for u in utterances if (u.end or 0.0) <= cut / RATE_HZ}
    far = {u.id for u in utterances} - near
    assert all(any(s.kind == "far" for s in u.disputed) == (u.id in far) for u in utterances)
    assert record.findings
    assert {place.utterance for f in record.findings for place in f.said} <= near
    asked = [q for q in record.questions if {place.utterance for place in q.about} & far]
    assert [q.prompt for q in asked if q.kind == "heard" and "far from the microphone" in q.prompt]
