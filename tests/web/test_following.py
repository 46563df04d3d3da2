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
    end = time.monotonic() + 180  # a busy machine
    while not (folder / "journal.jsonl").exists():
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < end
        time.sleep(0.1)
    yield folder, process
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    process.communicate(timeout=120)


def add(page, words):
    page.keyboard.press("a")
    page.locator("#add-words").fill(words)
    page.keyboard.press("Enter")


def test_two_windows_on_a_dictation_lose_nothing(listening, review, window, wait):
    folder, process = listening
    address = review(folder)
    show = window(address + "show")
    page, other = window(address, expected=["409"]), window(address, (1024, 768), ["409"])
    # the page says that it is beside a dictation, also where that had begun before
    wait(page, "document.querySelector('#reading').textContent.length > 0", seconds=60)
    # the class sees each finding as it is spoken
    show.locator("#caption p", has_text="Right biceps").first.wait_for(timeout=60_000)
    assert show.locator("#section").inner_text() == "Motor"
    assert process.poll() is None, "the dictation should still be going on"
    # what is done by hand meanwhile goes through the dictation
    add(page, "left triceps jerk brisk")
    add(other, "right triceps jerk absent")
    for one in (page, other):
        for words in ("Left triceps jerk brisk", "Right triceps jerk absent"):
            one.locator(".finding", has_text=words).wait_for(timeout=20_000)
    # and the rest of the dictation still comes
    for one in (page, other):
        one.locator(".finding", has_text="Left biceps 5/5").wait_for(timeout=60_000)
    process.wait(120)
    wait(page, "document.querySelector('#reading').hidden")
    with Examination.open(folder, write=False) as examination:
        found = {(f.test, f.site, f.side): f.value for f in examination.live().findings}
        events = examination.events()
        ids = [one.id for one in examination.live().utterances]
    assert [event["n"] for event in events] == list(range(1, len(events) + 1))
    assert found["stretch_reflex", "triceps", "left"] == "brisk"
    assert found["stretch_reflex", "triceps", "right"] == "absent"
    assert (found["strength", "biceps", "right"], found["strength", "biceps", "left"]) == ("3", "5")
    shown = "rows => rows.map((row) => row.dataset.id)"
    for one in (page, other):  # every event has come to both
        wait(one, f"document.querySelectorAll('.utterance').length === {len(ids)}")
        assert one.locator(".utterance").evaluate_all(shown) == ids
    # afterwards the page writes by itself, and the recording can be played
    page.keyboard.press("Escape")
    page.keyboard.press("z")
    for one in (page, other):
        gone = one.locator(".finding", has_text="Right triceps jerk absent")
        gone.wait_for(state="detached")
    assert page.locator("audio").count() == 1
