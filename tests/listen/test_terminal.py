"""On a real terminal: a key switches listening, a resize is survived, Ctrl-C writes the note."""

from __future__ import annotations

import json
import os
import struct
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from dictate.recognise.model_store import find_model

pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")
fcntl = pytest.importorskip("fcntl", reason="this system has no pseudo-terminals")
termios = pytest.importorskip("termios", reason="this system has no pseudo-terminals")

DEMO = Path(__file__).parents[2] / "audio_demo" / "demo.flac"
PATIENCE_S = 60.0


class Terminal:
    """``dictate listen`` on a terminal of its own; what it draws is kept."""

    def __init__(self, out: Path, *options: str) -> None:
        self.out = out
        self.shown = b""
        self._ours, theirs = pty.openpty()
        self.resize(24, 80)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "dictate", "listen", "--out", str(out), "--from", str(DEMO),
             "--ask", "screen", *options],
            stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
            env={**os.environ, "TERM": "xterm-256color"}, preexec_fn=self._own_terminal,
        )  # fmt: skip
        os.close(theirs)
        threading.Thread(target=self._read, daemon=True).start()

    @staticmethod
    def _own_terminal() -> None:
        fcntl.ioctl(0, termios.TIOCSCTTY, 0)  # so that Ctrl-C typed here reaches it

    def _read(self) -> None:
        while True:
            try:
                data = os.read(self._ours, 65536)
            except OSError:
                return
            if not data:
                return
            self.shown += data

    def resize(self, rows: int, columns: int) -> None:
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(self._ours, termios.TIOCSWINSZ, size)

    def press(self, key: bytes) -> None:
        os.write(self._ours, key)

    def states(self) -> list[bool]:
        path = self.out / "journal.jsonl"
        lines = path.read_text().splitlines(keepends=True) if path.exists() else []
        events = [json.loads(line) for line in lines if line.endswith("\n")]
        return [event["listening"] for event in events if event["event"] == "state"]

    def wait_for(self, condition) -> None:
        end = time.monotonic() + PATIENCE_S
        while not condition():
            assert self.process.poll() is None, self.shown[-2000:]
            assert time.monotonic() < end, self.shown[-2000:]
            time.sleep(0.05)


@pytest.fixture
def terminal(tmp_path):
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    running = Terminal(tmp_path / "d", "--when", "key", "--speed", "0.5")
    yield running
    running.process.kill()


def test_a_key_switches_a_resize_is_survived_and_ctrl_c_writes_the_note(terminal):
    terminal.wait_for(lambda: terminal.states() == [False])
    terminal.press(b" ")
    terminal.wait_for(lambda: terminal.states() == [False, True])
    for rows, columns in ((10, 30), (50, 200), (24, 80)):
        terminal.resize(rows, columns)
        drawn = len(terminal.shown)
        terminal.wait_for(lambda drawn=drawn: len(terminal.shown) > drawn)
    terminal.press(b"\x1b[A")  # an arrow sends several bytes and is one key
    terminal.wait_for(lambda: terminal.states() == [False, True, False])
    terminal.press(b"\x03")
    assert terminal.process.wait(PATIENCE_S) == 0, terminal.shown[-2000:]
    assert (terminal.out / "note.txt").read_text().startswith("Draft")
    assert (terminal.out / "record.json").exists()
