"""The page beside a running dictation: it follows, and hands over what is done by hand."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from dictate.examination import Examination
from dictate.recognise.model_store import find_model

pytestmark = pytest.mark.skipif(find_model() is None, reason="the speech model is not here")
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def listening(tmp_path, demo):
    """A dictation of the demo's beginning, somewhat faster than it was spoken."""
    folder = tmp_path / "dictation"
    process = subprocess.Popen(
        [sys.executable, "-m", "dictate", "listen", "--out", folder, "--from",
         demo(24), "--speed", "1.5", "--ask", "screen"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    end = time.monotonic() + 60
    while not (folder / "journal.jsonl").exists():
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < end
        time.sleep(0.1)
    yield folder, process
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    process.communicate(timeout=60)


def test_a_dictation_is_followed_and_nothing_is_lost(listening, review, window):
    folder, process = listening
    address = review(folder)
    show = window(address + "show")
    page = window(address, expected=["409"])
    # the class sees each finding as it is spoken
    show.locator("#caption p", has_text="Right biceps").first.wait_for(timeout=60_000)
    assert show.locator("#section").inner_text() == "Motor"
    assert process.poll() is None, "the dictation should still be going on"
    # what is done by hand meanwhile goes through the dictation
    page.keyboard.press("a")
    page.locator("#add-words").fill("left triceps jerk brisk")
    page.keyboard.press("Enter")
    page.locator(".finding", has_text="Left triceps jerk brisk").wait_for(timeout=20_000)
    # and the rest of the dictation still comes
    page.locator(".finding", has_text="Left biceps 5/5").wait_for(timeout=60_000)
    process.wait(60)
    with Examination.open(folder, write=False) as examination:
        found = {(f.test, f.site, f.side): f.value for f in examination.live().findings}
    assert found["stretch_reflex", "triceps", "left"] == "brisk"
    assert (found["strength", "biceps", "right"], found["strength", "biceps", "left"]) == ("3", "5")
    # afterwards the page writes by itself
    page.keyboard.press("Escape")
    page.keyboard.press("z")
    page.locator(".finding", has_text="Left triceps jerk brisk").wait_for(state="detached")
