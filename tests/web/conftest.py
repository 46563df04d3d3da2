"""The page served as users do, and Debian's Chromium to look at it."""

from __future__ import annotations

import contextlib
import shutil
import signal
import subprocess
import sys
import time
import wave
from pathlib import Path

import numpy as np
import pytest

from dictate.audio.file import FileSource
from dictate.examination import Examination
from dictate.model import Hearing, Utterance, Word

ROOT = Path(__file__).resolve().parents[2]


@contextlib.contextmanager
def reviewing():
    """Starts ``dictate review`` and gives its address; all are interrupted at the end."""
    running = []

    def started(*arguments):
        process = subprocess.Popen(
            [sys.executable, "-m", "dictate", "review", *map(str, arguments), "--no-browser"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        running.append(process)
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), process.stderr.read()
        return address

    started.processes = running
    yield started
    for process in running:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)


@pytest.fixture
def review():
    """``reviewing`` for one test."""
    with reviewing() as started:
        yield started


@pytest.fixture(scope="module")
def review_for_all():
    """``reviewing`` for all tests of a file."""
    with reviewing() as started:
        yield started


def until(page, expression, argument=None, seconds=20):
    """Waits until something is so in the page (whose policy forbids the usual way to ask)."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression, argument):
        assert time.monotonic() < end, f"it did not become so: {expression}"
        page.wait_for_timeout(50)


@pytest.fixture(scope="session")
def browser():
    """A browser without a window."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("there is no Chromium here (apt install chromium)")
    with playwright.sync_playwright() as started:
        found = started.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture
def window(browser):
    """Opens an address in a window of a size; whatever the page complains of fails the test."""
    opened, complaints = [], []

    def looked(address, size=(1366, 900), expected=(), opens_within_s=20, **wishes):
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **wishes)
        opened.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda fault: complaints.append(str(fault)))
        page.on(
            "console",
            lambda said: (
                complaints.append(said.text)
                if said.type == "error" and not any(part in said.text for part in expected)
                else None
            ),
        )
        page.goto(address)
        until(
            page,
            "!['…', 'Being opened'].includes(document.querySelector('#status').textContent)",
            seconds=opens_within_s,
        )
        return page

    yield looked
    for context in opened:
        context.close()
    assert complaints == []


def timed(number, text, start_s, word_s=0.35, unsure=()):
    """An utterance as a recogniser gives it."""
    words, at, second = [], 0, start_s
    for word in text.split(" "):
        sure = 0.3 if word in unsure else 0.97
        words.append(Word(word, at, at + len(word), second, second + word_s * 0.9, sure, True))
        at += len(word) + 1
        second += word_s
    heard = tuple(Hearing(listener, text, tuple(words)) for listener in ("taught", "open"))
    return Utterance(f"u{number}", text, start_s, second, tuple(words), hearings=heard)


@pytest.fixture
def wait():
    """``until``, for tests."""
    return until


def write_sound(path, seconds):
    """A recording of noise in bursts, so that there is something to draw."""
    random = np.random.default_rng(1)
    second = np.linspace(0, 4 * np.pi, 16_000)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        for _ in range(seconds):
            noise = random.normal(0, 3_000, 16_000) * np.abs(np.sin(second))
            file.writeframes(noise.clip(-32768, 32767).astype("<i2").tobytes())
    path.chmod(0o600)


@pytest.fixture
def demo(tmp_path):
    """The demo recording from its start to some second."""

    def cut(seconds):
        path = tmp_path / "demo.wav"
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(16_000)
            for chunk in FileSource(ROOT / "audio_demo" / "demo.flac").chunks():
                if chunk.end_s <= seconds:
                    file.writeframes(chunk.samples)
        return path

    return cut


def _examined(folder, said, gap_s=1.0, unsure=(), seconds=None):
    folder.mkdir(mode=0o700, exist_ok=True)
    spoken, at_s = [], 1.0
    for number, text in enumerate(said, 1):
        spoken.append(timed(number, text, at_s, unsure=unsure))
        at_s = spoken[-1].end + gap_s
    write_sound(folder / "sound.wav", seconds or int(at_s) + 1)
    with Examination.create(folder, "note", sound="sound.wav") as examination:
        for utterance in spoken:
            examination.hear(utterance)
    return folder


@pytest.fixture(scope="session")
def make_examination():
    """Makes an examination in a folder, as ``examined`` does."""
    return _examined


@pytest.fixture
def examined(tmp_path):
    """Makes an examination with sound out of what was said, without a recogniser."""

    def made(said, name="examination", **wishes):
        return _examined(tmp_path / name, said, **wishes)

    return made
