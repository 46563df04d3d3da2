"""A third listener beside the pair: which sound it hears, and that nothing hangs on it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ, AudioChunk
from dictate.cli import main
from dictate.errors import ModelError
from dictate.model import Hearing, Utterance
from dictate.recognise import model_check, three
from dictate.recognise.joining import HeardWord
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.replay import ReplayRecogniser, write_utterances
from dictate.recognise.three import KEPT_S, MARGIN_S, ThreeListening, ThreeRecogniser
from dictate.recognise.vosk import VoskModel
from dictate.session import Session

CHUNK_S = 0.25
BOTH = (Hearing("taught", "drift"), Hearing("open", "drift"))


class ScriptedPair:
    """Hands out an utterance at its seconds: (handed out at, start, end)."""

    def __init__(self, script, hearings=BOTH):
        self.script, self.hearings = list(script), hearings
        self.notices = []

    def feed(self, chunk):
        done = [s for s in self.script if chunk.start_s <= s[0] < chunk.end_s]
        return [
            Utterance(f"u{n}", "drift", start, end, hearings=self.hearings)
            for n, (_, start, end) in enumerate(done, 1)
        ]

    def so_far(self):
        return Utterance("u9", "drift", 0.0, 1.0, hearings=self.hearings)

    def end_now(self):
        return []

    def finish(self):
        return []


class FakeThird:
    """Remembers the sound that it was given; hears one word in it."""

    def __init__(self, fails_at=None):
        self.fails_at = fails_at
        self.heard = []

    def hear(self, samples, start_s):
        self.heard.append((np.frombuffer(samples, "<i2"), start_s))
        if len(self.heard) == self.fails_at:
            raise ModelError("no memory")
        return (HeardWord("drift", start_s, start_s + 0.5, 0.9),)


def add(utterance, words):
    return Utterance(
        utterance.id, utterance.text, utterance.start, utterance.end,
        hearings=(*utterance.hearings, Hearing("third", " ".join(w.text for w in words))),
    )  # fmt: skip


def seconds(count, start_s=0.0):
    """Chunks of a sound whose every sample tells its tenth of a second."""
    size = int(CHUNK_S * RATE_HZ)
    for n in range(int(count / CHUNK_S)):
        at_s = start_s + n * CHUNK_S
        tenths = (at_s * 10 + np.arange(size) * 10 / RATE_HZ).astype("<i2")
        yield AudioChunk(tenths.tobytes(), at_s)


def run(listening, chunks):
    return [u for chunk in chunks for u in listening.feed(chunk)] + listening.finish()


def test_it_hears_the_seconds_of_each_utterance_and_a_little_around():
    third = FakeThird()
    listening = ThreeListening(ScriptedPair([(3.0, 1.0, 2.0), (9.0, 5.0, 8.0)]), third, add)
    done = run(listening, seconds(12))
    assert [[h.listener for h in u.hearings] for u in done] == [["taught", "open", "third"]] * 2
    assert listening.notices == []
    for (samples, start_s), (start, end) in zip(third.heard, [(1.0, 2.0), (5.0, 8.0)], strict=True):
        assert start_s == pytest.approx(start - MARGIN_S, abs=1e-4)
        assert len(samples) == pytest.approx((end - start + 2 * MARGIN_S) * RATE_HZ, abs=2)
        assert (samples[0], samples[-1]) == (int((start - MARGIN_S) * 10), int((end + 0.299) * 10))


def test_at_the_start_and_over_a_hole_it_hears_what_is_there():
    third = FakeThird()
    listening = ThreeListening(ScriptedPair([(1.0, 0.1, 0.9), (21.0, 20.1, 20.9)]), third, add)
    run(listening, [*seconds(2), *seconds(2, 20.0)])
    assert [start_s for _, start_s in third.heard] == [0.0, 20.0]
    assert third.heard[1][0][0] == 200


def said(start, end):
    """What was said so far, from second to second."""
    return Utterance("u1", "drift", start, end, hearings=BOTH)


def test_at_a_pause_it_begins_to_hear_and_is_not_asked_again_where_that_was_all():
    third = FakeThird()
    listening = ThreeListening(ScriptedPair([(3.0, 1.0, 2.0)]), third, add)
    run(listening, seconds(2.5))
    listening.pause(said(1.02, 1.95))
    listening.pause(said(1.02, 1.95))
    (done,) = listening.feed(next(iter(seconds(0.25, 3.0))))
    assert [h.listener for h in done.hearings] == ["taught", "open", "third"]
    assert len(third.heard) == 1


@pytest.mark.parametrize("so_far", [(1.0, 1.6), (0.5, 2.0)])
def test_where_speech_went_on_what_it_heard_ahead_is_thrown_away(so_far):
    third = FakeThird()
    listening = ThreeListening(ScriptedPair([(3.0, 1.0, 2.0)]), third, add)
    run(listening, seconds(2.5))
    listening.pause(said(*so_far))
    listening.feed(next(iter(seconds(0.25, 3.0))))
    samples, start_s = third.heard[-1]
    assert start_s == pytest.approx(1.0 - MARGIN_S, abs=1e-4)
    assert samples[-1] >= int((2.0 + MARGIN_S) * 10) - 1


def test_one_that_fails_while_it_hears_ahead_is_said():
    listening = ThreeListening(ScriptedPair([(3.0, 1.0, 2.0)]), FakeThird(fails_at=1), add)
    run(listening, seconds(2.5))
    listening.pause(said(1.0, 2.0))
    (done,) = listening.feed(next(iter(seconds(0.25, 3.0))))
    assert done.hearings == BOTH
    assert "failed at 00:01 (no memory)" in listening.notices[0]
    listening.pause(said(4.0, 5.0))  # and nothing more is begun


def test_words_that_may_change_are_not_heard_by_it():
    third = FakeThird()
    listening = ThreeListening(ScriptedPair([]), third, add)
    run(listening, seconds(2))
    assert listening.so_far().hearings == BOTH
    assert listening.end_now() == []
    assert third.heard == []


def test_memory_is_bounded_where_nobody_speaks_and_with_one_long_utterance():
    listening = ThreeListening(ScriptedPair([(200.0, 150.0, 199.0)]), third := FakeThird(), add)
    most = 0
    for chunk in seconds(400):
        listening.feed(chunk)
        most = max(most, sum(len(c.samples) for c in listening._sound))
    assert most <= (KEPT_S + 2 * CHUNK_S) * 2 * RATE_HZ
    assert len(third.heard[0][0]) == pytest.approx((49 + 2 * MARGIN_S) * RATE_HZ, abs=2)


def test_one_that_fails_is_said_once_and_left_out():
    third = FakeThird(fails_at=2)
    script = [(3.0, 1.0, 2.0), (66.0, 63.0, 65.0), (69.0, 67.0, 68.0)]
    listening = ThreeListening(ScriptedPair(script), third, add)
    done = run(listening, seconds(72))
    assert [len(u.hearings) for u in done] == [3, 2, 2]
    assert listening.notices == [
        "The third listener failed at 01:03 (no memory): from there on two listeners check each "
        "other."
    ]
    assert len(third.heard) == 2
    assert not listening._sound


def test_one_that_is_not_there_is_said():
    listening = ThreeListening(ScriptedPair([(3.0, 1.0, 2.0)]), None, add, "it is not installed")
    assert [len(u.hearings) for u in run(listening, seconds(4))] == [2]
    assert listening.notices == [
        "The third listener is not here (it is not installed): two listeners check each other."
    ]


def test_notices_of_the_pair_come_first_and_what_one_heard_alone_stays_so():
    pair = ScriptedPair([(3.0, 1.0, 2.0)], hearings=())
    listening = ThreeListening(pair, third := FakeThird(), add, "")
    pair.notices.append("The second listener failed.")
    assert [u.hearings for u in run(listening, seconds(4))] == [()]
    assert listening.notices == ["The second listener failed."]
    assert third.heard == []


@pytest.fixture(scope="module")
def pair(model_folder):
    return PairRecogniser(VoskModel(model_folder))


class Says:
    """Hears the words that it is given, at the seconds of the sound."""

    def __init__(self, text):
        self.words = text.split()

    def hear(self, samples, start_s):
        each_s = (len(samples) / 2 / RATE_HZ - 2 * MARGIN_S) / len(self.words)
        at_s = [start_s + MARGIN_S + n * each_s for n in range(len(self.words))]
        return tuple(
            HeardWord(w, at, at + each_s, 1.0) for w, at in zip(self.words, at_s, strict=True)
        )


def hear(recogniser):
    sound = Path(model_check.__file__).with_name("check.flac")
    return list(recogniser.utterances(FileSource(sound)))


def test_the_three_over_a_real_sound(pair):
    recogniser = ThreeRecogniser(pair, Says(model_check.SAID))
    (found,) = hear(recogniser)
    assert found.text.replace(",", "") == model_check.SAID
    assert [h.listener for h in found.hearings] == ["taught", "open", "third"]
    assert found.hearings[2].text == model_check.SAID
    assert found.disputed == ()
    assert recogniser.notices == []
    session = Session()
    session.take(found)
    assert all(finding.checked for finding in session.record().findings)


def test_without_a_third_a_file_is_heard_by_the_pair(pair):
    recogniser = ThreeRecogniser(pair, None, "it is not installed")
    assert hear(recogniser) == hear(pair)
    assert recogniser.notices == [three.missing("it is not installed")]
    assert recogniser.start_preview().notices == []


def test_the_program_says_that_a_wished_third_is_not_here_and_goes_on(
    model_folder, monkeypatch, tmp_path
):
    monkeypatch.setenv("DICTATE_THIRD", str(tmp_path / "none"))
    monkeypatch.setenv("DICTATE_EAR", str(tmp_path / "none"))  # so that both are the pair
    sound = Path(model_check.__file__).with_name("check.flac")
    plain = CliRunner().invoke(main, ["note", str(sound), "--as", "record"])
    wished = CliRunner().invoke(main, ["note", str(sound), "--as", "record", "--third"])
    assert plain.exit_code == wished.exit_code == 0
    one, other = json.loads(plain.stdout), json.loads(wished.stdout)
    (notice,) = one.pop("notices")
    assert notice.startswith("The adapted listener is not here (it is not in ")
    (notice,) = other.pop("notices")
    assert notice.startswith("The third listener is not here (there are no weights in ")
    assert one == other


def test_the_program_lets_a_real_third_hear(model_folder, weights):
    sound = Path(model_check.__file__).with_name("check.flac")
    heard = CliRunner().invoke(main, ["note", str(sound), "--as", "record", "--third"])
    record = json.loads(heard.stdout)
    assert record["notices"] == []
    names = [hearing["listener"] for u in record["utterances"] for hearing in u["hearings"]]
    assert names == ["taught", "open", "third"]


def test_what_is_saved_of_three_is_heard_again_alike(pair, tmp_path):
    heard = hear(ThreeRecogniser(pair, Says("left arm and no right leg")))
    saved = tmp_path / "words.jsonl"
    list(write_utterances(saved, heard))
    assert list(ReplayRecogniser().utterances(saved)) == heard
    assert any(stretch.listener == "third" for stretch in heard[0].disputed)
