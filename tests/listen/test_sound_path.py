"""The real path of sound: played into a sound server, heard through PortAudio, as on a ward."""

from __future__ import annotations

import importlib.util
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
import wave
from pathlib import Path

import numpy as np
import pytest

from dictate.audio.file import FileSource
from dictate.recognise.model_store import find_model

#: How often the demo is played at most.
MOST_PLAYED = 3
_HERE = Path(__file__).parent
_spec = importlib.util.spec_from_file_location("sound_server", _HERE / "sound_server.py")
server_module = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(server_module)
DEMO = _HERE.parents[1] / "audio_demo" / "demo.flac"


@pytest.fixture(scope="module")
def server():
    reason = server_module.why_not() or ("" if find_model() else "there is no speech model")
    if reason:
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    # a socket's path must be short
    with (
        tempfile.TemporaryDirectory(prefix="s") as folder,
        server_module.sound_server(Path(folder)) as running,
    ):
        yield running


def wav(path, samples):
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16_000)
        out.writeframes(samples.astype("<i2").tobytes())
    return path


def sound_of(path):
    return np.frombuffer(b"".join(c.samples for c in FileSource(path).chunks()), "<i2")


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return wav(tmp_path_factory.mktemp("demo") / "demo.wav", sound_of(DEMO))


class Listener:
    """``dictate listen`` as a program of its own."""

    def __init__(self, server, out, *options):
        self.out = out
        self.process = subprocess.Popen(
            [sys.executable, "-m", "dictate", "listen", "--out", str(out), "--ask", "screen",
             *options],
            env=server.environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        self.wait_for(lambda: "state" in self.events() and self.sound_bytes() > 20_000)

    def wait_for(self, condition, patience_s=60):
        end = time.monotonic() + patience_s
        while not condition():
            if self.process.poll() is not None or time.monotonic() > end:
                pytest.fail(f"it did not come to it: {self.finish()}")
            time.sleep(0.1)

    def lines(self):
        path = self.out / "journal.jsonl"
        text = path.read_text() if path.exists() else ""
        return [json.loads(line) for line in text.splitlines(keepends=True) if line[-1] == "\n"]

    def events(self):
        return [line["event"] for line in self.lines()]

    def sound_bytes(self):
        path = self.out / "sound.wav"
        return path.stat().st_size if path.exists() else 0

    def finish(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        told, _ = self.process.communicate(timeout=60)
        return told


def what_it_says(folder):
    record = json.loads((folder / "record.json").read_text())
    return (
        [(f["test"], f["site"], f["side"], f["value"], f["detail"]) for f in record["findings"]],
        [(q["kind"], q["prompt"]) for q in record["questions"]],
    )


def test_what_the_microphone_hears_is_what_the_recording_says(server, demo, tmp_path):
    """Where a recogniser's frames of 10 ms fall in a word depends on the moment at which the
    microphone was opened, and one word of the demo is heard in two ways (its record then asks).
    So it is played again if need be; what is compared is always the whole record."""
    subprocess.run(
        [sys.executable, "-m", "dictate", "note", str(DEMO), "--out", str(tmp_path / "read")],
        check=True,
    )
    read = what_it_says(tmp_path / "read")
    assert len(read[0]) > 10
    heard = None
    for number in range(1, MOST_PLAYED + 1):
        listener = Listener(server, tmp_path / f"heard{number}")
        server.run("paplay", "--device=room", str(demo))
        time.sleep(2)
        told = listener.finish()
        assert listener.process.returncode == 0, told
        assert listener.events()[-1] == "ended"
        heard = what_it_says(listener.out)
        if heard == read:
            break
    assert heard == read


def test_a_microphone_that_goes_and_comes_back(server, demo, tmp_path):
    samples = sound_of(DEMO)
    part = wav(tmp_path / "part.wav", samples[int(14.5 * 16_000) : (18 * 16_000)])
    listener = Listener(server, tmp_path / "heard")
    server.stop()
    listener.wait_for(lambda: "trouble" in listener.events())
    server.start()
    listener.wait_for(lambda: listener.events().count("trouble") == 2)
    server.run("paplay", "--device=room", str(part))
    listener.wait_for(lambda: "utterance" in listener.events())
    told = listener.finish()
    troubles = [line["sentence"] for line in listener.lines() if line["event"] == "trouble"]
    assert "has gone" in troubles[0] and "is back" in troubles[1], troubles
    assert "biceps" in str(what_it_says(tmp_path / "heard")), told
    utterance = next(line for line in listener.lines() if line["event"] == "utterance")
    # the time without a microphone is a hole in the sound, and the times go on across it: nothing
    # was played before the return was told, nor was it heard after it was written down
    began = next(line for line in listener.lines() if line["event"] == "state")
    back = [line for line in listener.lines() if line["event"] == "trouble"][1]
    returned, told_at = (_seconds(line) - _seconds(began) for line in (back, utterance))
    said = utterance["utterance"]
    assert returned < said["start"] < said["end"] < told_at
    sound_s = (listener.sound_bytes() - 44) / 32_000
    assert utterance["utterance"]["end"] < sound_s


def _seconds(line):
    from datetime import datetime

    return datetime.fromisoformat(line["at"]).timestamp()
