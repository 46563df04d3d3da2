"""A question asked and answered by voice, its own sound mixed into what the microphone hears."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ, AudioChunk
from dictate.grammar import load_grammar
from dictate.journal.reading import read_journal
from dictate.journal.writing import Journal
from dictate.listen.asking import Asker
from dictate.listen.hearing import Hearing
from dictate.listen.loop import Loop
from dictate.listen.past import replay
from dictate.recognise.model_store import find_model
from dictate.recognise.pair import PairRecogniser
from dictate.session import Session
from dictate.speak.voice import find_voice

DEMO = Path(__file__).parents[2] / "audio_demo" / "demo.flac"
BLOCK = 800
#: In the demo: "knee jerk three plus", which does not say which knee, and a "left" by itself.
STATEMENT_S, ANSWER_S = (38.9, 40.6), (46.4, 47.1)


class Room:
    """What the microphone hears: the examiner, and the loudspeaker a little later and quieter."""

    latency_s = 0.15

    def __init__(self, seconds):
        noise = np.random.default_rng(1).normal(0, 8, int(seconds * RATE_HZ))
        self.sound = noise.astype(np.int32)
        self.at = self.until = self.played = 0
        self.on_end = None

    def mix(self, samples, at_s):
        start = int(at_s * RATE_HZ)
        self.sound[start : start + len(samples)] += samples

    def play(self, sound):
        samples = np.frombuffer(sound.samples, "<i2").astype(np.int32) // 2
        start_s = self.at / RATE_HZ + self.latency_s
        self.mix(samples, start_s)
        self.until = int((start_s + sound.duration_s) * RATE_HZ)
        self.played += 1
        if self.played == 1 and self.on_end is not None:
            self.on_end(start_s + sound.duration_s)

    def stop(self):
        self.sound[self.at : self.until] = 0
        self.until = self.at

    def sounding(self):
        return self.at < self.until

    def blocks(self):
        while self.at + BLOCK <= len(self.sound):
            samples = np.clip(self.sound[self.at : self.at + BLOCK], -32768, 32767)
            start_s = self.at / RATE_HZ
            self.at += BLOCK
            yield AudioChunk(samples.astype("<i2").tobytes(), start_s)


@pytest.fixture(scope="module")
def parts():
    model, voice = find_model(), find_voice()
    if model is None or voice is None:
        pytest.skip("this takes the speech model ('dictate setup') and a voice")
    return PairRecogniser(model), voice


@pytest.mark.parametrize("answered", [True, False])
def test_it_is_asked_and_answered_and_the_tool_does_not_hear_itself(parts, tmp_path, answered):
    recogniser, voice = parts
    demo = np.frombuffer(b"".join(c.samples for c in FileSource(DEMO).chunks()), "<i2")

    def cut(span):
        return demo[int(span[0] * RATE_HZ) : int(span[1] * RATE_HZ)].astype(np.int32)

    room = Room(20)
    room.mix(cut(STATEMENT_S), 0.5)
    if answered:
        room.on_end = lambda end_s: room.mix(cut(ANSWER_S), end_s + 0.8)
    session = Session(load_grammar())
    path = tmp_path / "journal.jsonl"
    hearing = Hearing(recogniser.start(), recogniser.start())
    loop = Loop(session, hearing, Journal(path), Asker(voice, room, session, "speech"))
    for block in room.blocks():
        loop.take(block)
    loop.end_sound()
    record = session.record()
    events = {e["event"] for e in read_journal(path).events}
    assert room.played >= 1 and {"spoke", "asked"} <= events
    found = [(f.site, f.side, f.value) for f in record.findings]
    assert found == ([("knee", "left", "3+")] if answered else [])
    assert len(record.questions) == (0 if answered else 1)
    # of the question's own words nothing is in the record: the statement, and the answer
    assert len(record.utterances) == (2 if answered else 1), [u.text for u in record.utterances]
    assert replay(read_journal(path), Session(load_grammar())).session.record() == record
