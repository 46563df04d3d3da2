"""A volunteer reads lines aloud: which line is read, what is kept, and the figures."""

from __future__ import annotations

import importlib.util
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ, AudioChunk
from dictate.bench.cases import examinations, typed
from dictate.bench.figures import judged
from dictate.bench.listeners import Heard
from dictate.bench.reading import PAUSE_S, Line, Mark, Reading
from dictate.bench.record import consent_for, lines_of
from dictate.cli import main
from dictate.grammar import load_grammar
from dictate.model import Utterance
from dictate.recognise import model_check
from dictate.recognise.model_store import find_model

SAID = Path(model_check.__file__).with_name("check.flac")
LINES = [Line(0, 0, "one"), Line(0, 1, "two"), Line(1, 0, "three")]
_SERVER = Path(__file__).parents[1] / "listen" / "sound_server.py"


@pytest.fixture(scope="module")
def spoken() -> bytes:
    """Two seconds of a voice."""
    return b"".join(chunk.samples for chunk in FileSource(SAID).chunks())


class Room:
    """Gives a reading sound, block by block."""

    def __init__(self, reading: Reading) -> None:
        self.reading, self.now_s = reading, 0.0

    def hears(self, samples: bytes) -> None:
        for at in range(0, len(samples), 1600):
            chunk = AudioChunk(samples[at : at + 1600], self.now_s)
            self.now_s = chunk.end_s
            self.reading.take(chunk)

    def is_silent(self, seconds: float) -> None:
        self.hears(bytes(2 * round(seconds * RATE_HZ)))


@pytest.fixture
def room() -> Room:
    """A reading of three lines; ``shown`` says which were."""
    shown: list[str] = []
    reading = Reading(LINES, lambda place, line: shown.append(line.text))
    made = Room(reading)
    made.shown = shown  # type: ignore[attr-defined]
    return made


def test_a_line_is_over_after_a_pause_and_not_at_a_short_one(room: Room, spoken: bytes) -> None:
    room.is_silent(5.0)
    assert room.shown == ["one"]  # type: ignore[attr-defined]
    room.hears(spoken)
    room.is_silent(0.8)
    room.hears(spoken)
    assert not room.reading.marks
    room.is_silent(PAUSE_S + 0.5)
    assert room.shown == ["one", "two"]  # type: ignore[attr-defined]
    (mark,) = room.reading.marks
    assert mark.start_s == 0.0
    assert 8.0 < mark.end_s < 12.0


def test_a_slip_while_reading_and_after_it(room: Room, spoken: bytes) -> None:
    room.hears(spoken)
    room.reading.again()
    room.is_silent(3.0)
    room.hears(spoken)
    room.is_silent(3.0)
    room.reading.again()
    assert room.shown == ["one", "one", "two", "one"]  # type: ignore[attr-defined]
    assert [mark.void for mark in room.reading.marks] == [True, True]
    for _ in LINES:
        room.hears(spoken)
        room.is_silent(3.0)
    assert room.reading.over
    assert [(m.case, m.number) for m in room.reading.marks if not m.void] == [
        (0, 0),
        (0, 1),
        (1, 0),
    ]


def test_only_examinations_that_were_read_to_their_end_count(room: Room, spoken: bytes) -> None:
    for _ in range(2):
        room.hears(spoken)
        room.is_silent(3.0)
    room.reading.finish()
    assert room.reading.whole() == [0]
    room.hears(spoken)
    room.reading.finish()  # the sound ends with the last word
    assert room.reading.whole() == [0, 1]


def test_what_was_read_twice_is_scored_once() -> None:
    grammar, lines = load_grammar(), examinations()[0]
    marks = [Mark(0, n, 10.0 * n, 10.0 * n + 9) for n in range(len(lines))]
    heard = [
        Utterance(f"u{n}", line, m.start_s, m.end_s)
        for n, (line, m) in enumerate(zip(lines, marks, strict=True))
    ]
    whole = len(typed(grammar, lines).find)
    right = judged(grammar, marks, Heard("x", heard, 0.0))
    assert (right.captured, right.silent, right.lost, right.word_errors) == (whole, 0, 0, 0)
    slip = Utterance("s", "Left deltoid two.", 200.0, 203.0)
    marks.append(Mark(0, 3, 199.0, 204.0, void=True))
    again = judged(grammar, marks, Heard("x", [*heard, slip], 0.0))
    assert (again.captured, again.silent) == (whole, 0)
    wrong = judged(grammar, marks[:-1], Heard("x", [*heard, slip], 0.0))
    assert wrong.silent or wrong.questions


def _run(*arguments: str | Path, text: str = ""):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(main, ["bench", *map(str, arguments)], input=text)


@pytest.mark.parametrize("answer", ["", "no\n", "y\n"])
def test_nothing_is_recorded_without_a_whole_yes(tmp_path: Path, answer: str) -> None:
    done = _run("record", tmp_path / "new", "--from", SAID, "--speed", "0", text=answer)
    assert done.exit_code == 2
    assert "nothing is sent anywhere" in " ".join(done.stdout.lower().split())
    assert not (tmp_path / "new").exists()


def test_a_taken_folder_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "a").write_text("mine")
    done = _run("record", tmp_path / "taken", "--from", SAID, text="yes\n")
    assert done.exit_code == 2 and "Name a new folder" in done.stderr
    assert [p.name for p in (tmp_path / "taken").iterdir()] == ["a"]


def test_what_was_not_read_to_its_end_gives_no_figures(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    done = _run("record", folder, "--from", SAID, "--speed", "0", text="yes\n")
    assert done.exit_code == 2 and "no figures" in done.stderr
    assert "Agreed at" in (folder / "consent.txt").read_text()
    assert (folder / "sound.wav").stat().st_size > 10_000
    assert {oct(path.stat().st_mode & 0o777) for path in folder.iterdir()} == {"0o600"}
    assert folder.stat().st_mode & 0o777 == 0o700
    again = _run("figures", folder)
    assert again.exit_code == 4 and "\n" not in again.stderr.strip()


def test_a_recording_that_cannot_be_read_leaves_no_consent(tmp_path: Path) -> None:
    (tmp_path / "bad.wav").write_bytes(b"RIFF" + bytes(100))
    done = _run("record", tmp_path / "new", "--from", tmp_path / "bad.wav", text="yes\n")
    assert done.exit_code == 4
    assert not (tmp_path / "new").exists()


def _first_read_aloud(path: Path) -> int:
    """The first examination in a synthetic voice, with pauses; how many findings it has."""
    parts = [np.zeros(RATE_HZ // 2, np.int16)]
    for line in examinations()[0]:
        said = path.with_name("line.wav")
        subprocess.run(["flite", "-voice", "slt", "-t", line, "-o", str(said)], check=True)
        samples = b"".join(chunk.samples for chunk in FileSource(said).chunks())
        parts += [np.frombuffer(samples, "<i2"), np.zeros(round(2.2 * RATE_HZ), np.int16)]
    import wave

    with wave.open(str(path), "wb") as out:
        out.setparams((1, 2, RATE_HZ, 0, "NONE", ""))
        out.writeframes(np.concatenate(parts).tobytes())
    return len(typed(load_grammar(), examinations()[0]).find)


def test_an_examination_that_was_read_aloud_gives_figures(tmp_path: Path) -> None:
    if find_model() is None or shutil.which("flite") is None:
        pytest.skip("there is no speech model, or no program flite, on this computer")
    count = _first_read_aloud(tmp_path / "read.wav")
    folder = tmp_path / "new"
    options = ("--examinations", "1", "--from", tmp_path / "read.wav", "--speed", "0")
    done = _run("record", folder, *options, text="yes\n")
    assert done.exit_code == 0, done.output
    for place, line in enumerate(examinations()[0], 1):
        assert f"{place} of {len(examinations()[0])}   {line}" in done.stdout
    text = (folder / "figures.txt").read_text()
    assert text in done.stdout
    rows = {row.split()[0]: row.split() for row in text.splitlines()}
    assert {"open", "taught", "pair"} <= set(rows)
    assert int(rows["pair"][1]) == count
    assert float(rows["pair"][3].rstrip("%")) > 30
    assert not any(line in text for line in examinations()[0])


def test_with_a_microphone_and_ctrl_c_in_the_middle(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("sound_server", _SERVER)
    assert spec and spec.loader
    server_module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(server_module)
    if reason := server_module.why_not():
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with (
        tempfile.TemporaryDirectory(prefix="s") as short,
        server_module.sound_server(Path(short)) as server,
    ):
        folder = tmp_path / "new"
        process = subprocess.Popen(
            [sys.executable, "-m", "dictate", "bench", "record", str(folder)],
            env=server.environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert process.stdin
        process.stdin.write("yes\n")
        process.stdin.flush()
        patience = time.monotonic() + 60
        while not (folder / "sound.wav").exists() and time.monotonic() < patience:
            time.sleep(0.1)
        server.run("paplay", "--device=room", str(SAID))
        time.sleep(PAUSE_S + 1.0)
        process.stdin.write("\n")  # a slip: the first line once more
        process.stdin.flush()
        time.sleep(0.5)
        process.send_signal(signal.SIGINT)
        told, troubles = process.communicate(timeout=60)
    assert process.returncode == 2, troubles
    assert "no figures" in troubles
    first, second = lines_of(1)[:2]
    shown = [
        row
        for row in told.splitlines()
        if " of " in row and (first.text in row or second.text in row)
    ]
    assert [first.text in row for row in shown] == [True, False, True]
    sound = b"".join(chunk.samples for chunk in FileSource(folder / "sound.wav").chunks())
    assert np.abs(np.frombuffer(sound, "<i2").astype(int)).max() > 1000


def test_consent_says_where_it_is_kept(tmp_path: Path) -> None:
    assert str(tmp_path.resolve()) in consent_for(tmp_path)
