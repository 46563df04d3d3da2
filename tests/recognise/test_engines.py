"""Several engines over one sound: cut together, and one that fails is left out."""

from __future__ import annotations

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import ModelError
from dictate.model import Hearing, Utterance
from dictate.recognise.engines import EngineListening
from dictate.recognise.joining import HeardWord, lay_out

CHUNK_S = 0.5


class Script:
    """An engine that hears one word a chunk, and an end where the word is a full stop."""

    def __init__(self, words, fails_at=None):
        self.words, self.fails_at = list(words), fails_at
        self.at = 0
        self.open = []

    def feed(self, samples):
        if self.at == self.fails_at:
            raise ModelError("broken")
        word = self.words[self.at] if self.at < len(self.words) else ""
        start = self.at * CHUNK_S
        self.at += 1
        if word not in ("", "."):
            self.open.append((word, start, start + CHUNK_S))
        return word == "."

    def cut(self, offset_s):
        words, self.open = self.open, []
        return tuple(HeardWord(w, a + offset_s, b + offset_s, 1.0) for w, a, b in words)

    flush = cut

    def partial(self, offset_s):
        return tuple(HeardWord(w, a + offset_s, b + offset_s, 1.0) for w, a, b in self.open)

    def hears(self):
        return bool(self.open)


def make(identity, stretch):
    texts = [lay_out(words)[0] for words in stretch]
    hearings = tuple(Hearing(f"l{n}", text) for n, text in enumerate(texts))
    return Utterance(identity, texts[0] or "-", hearings=hearings)


def run(listening, chunks):
    done = []
    for n in range(chunks):
        done += listening.feed(AudioChunk(bytes(int(32_000 * CHUNK_S)), n * CHUNK_S))
    return done + listening.finish()


def heard(found):
    return [tuple(h.text for h in one.hearings) for one in found]


def test_all_are_cut_where_the_last_one_ends():
    one = Script(["a", "b", "", "", "", "", "c"])
    two = Script(["A", "B", ".", "", "", "", "C"])
    found = run(EngineListening([one, two], make), 8)
    assert heard(found) == [("a b", "A B"), ("c", "C")]
    assert [u.id for u in found] == ["u1", "u2"]


def test_so_far_and_end_now():
    one, two = Script(["a", "b"]), Script(["A", "B"])
    listening = EngineListening([one, two], make)
    listening.feed(AudioChunk(bytes(16_000), 0.0))
    assert heard([listening.so_far()]) == [("a", "A")]
    assert listening.end_now() == []
    assert heard([listening.so_far()]) == [("a", "A")]
    listening.feed(AudioChunk(bytes(16_000), CHUNK_S))
    assert heard(listening.finish()) == [("a b", "A B")]


def test_the_first_listener_must_work():
    with pytest.raises(ModelError, match="broken"):
        run(EngineListening([Script(["a"], fails_at=0), Script(["A"])], make), 1)


def test_a_second_listener_that_fails_is_said_and_left_out():
    one = Script(["a", "b", "", "", "", "", "c", "."])
    listening = EngineListening([one, Script(["A", "B"], fails_at=1)], make)
    found = run(listening, 9)
    assert [tuple(t for t in texts) for texts in heard(found)][-1] == ("c",)
    assert "b" in heard(found)[0][0] and heard(found)[0][1] == ""
    assert listening.notices == [
        "The second listener failed (broken): what comes from there on is marked as heard by one "
        "listener only."
    ]
