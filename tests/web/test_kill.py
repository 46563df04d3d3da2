"""Killed at a random moment while somebody works: what was acknowledged is there.

A few kills here, two of them in the browser; ``PYTHONPATH=. python tests/web/test_kill.py 50`` does
as many as one likes in the browser.
"""

from __future__ import annotations

import json
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import urllib.error
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from dictate.examination import Examination

ROOT = Path(__file__).resolve().parents[2]
#: Statements that somebody adds one after the other, each a finding of its own.
STATEMENTS = [
    (f"{side} {place} {grade} out of five", (place, side, value))
    for grade, value in (("four", "4"), ("three", "3"), ("two", "2"))
    for place in ("deltoid", "biceps", "triceps", "grip", "infraspinatus", "supraspinatus")
    for side in ("right", "left")
]


class Killed(Exception):
    """The program does not answer any more."""


class ByRequest:
    """Does things as the page's requests do."""

    def __init__(self, address):
        self.address = address

    def add(self, words):
        act(self.address, "add", {"text": words})

    def undo(self):
        act(self.address, "undo", {})


class ByPage:
    """Does things in the page itself, by its keys; what the page shows as done is acknowledged."""

    def __init__(self, page, address):
        self.page = page
        page.goto(address)
        self.until("!['…', 'Being opened'].includes(document.querySelector('#status').textContent)")

    def add(self, words):
        self.page.keyboard.press("a")
        self.page.locator("#add-words").fill(words)
        self.page.keyboard.press("Enter")
        self.until("!document.querySelector('#add-dialog').open")

    def undo(self):
        self.page.evaluate("document.querySelector('#told').textContent = ''")
        self.page.keyboard.press("z")
        self.until("document.querySelector('#told').textContent === 'Undone.'")

    def until(self, so):
        faults = "[...document.querySelectorAll('.fault, #told')].map((one) => one.textContent)"
        while not self.page.evaluate(so):
            if any("does not answer" in text for text in self.page.evaluate(faults)):
                raise Killed
            self.page.wait_for_timeout(20)


def act(address, what, body):
    """Do something as the page does; True once it is acknowledged."""
    origin = "http://" + urlsplit(address).netloc
    request = urllib.request.Request(
        f"{address}do/{what}",
        json.dumps(body).encode(),
        {"content-type": "application/json", "origin": origin},
    )
    with urllib.request.urlopen(request, timeout=30) as answer:
        return answer.status == 200


def work_until_killed(folder, seed, page=None):
    """Add statements, undo some, be killed meanwhile.

    Args:
        folder: Of the examination.
        seed: Of what is done, and of the moment.
        page: Of a browser, in which it is done; None for the page's requests alone.

    Returns:
        What was acknowledged, in order: a statement's number, or "undo".
    """
    chance = random.Random(seed)
    served = subprocess.Popen(
        [sys.executable, "-m", "dictate", "review", folder, "--no-browser"],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT,
    )  # fmt: skip
    address = served.stdout.readline().strip()
    hands = ByRequest(address) if page is None else ByPage(page, address)
    killer = threading.Timer(chance.uniform(0.05, 2.0), lambda: served.send_signal(signal.SIGKILL))
    killer.start()
    done = []
    try:
        for number in range(12):  # the sites once; a second grade of one would be asked about
            hands.add(STATEMENTS[number][0])
            done.append(number)
            if chance.random() < 0.2:
                hands.undo()
                done.append("undo")
        killer.join()
    except (OSError, urllib.error.URLError, Killed):
        pass  # it was killed
    served.wait(30)
    return done


def standing(done):
    """The statements that count after these deeds."""
    left = []
    for deed in done:
        if deed == "undo":
            del left[-1:]
        else:
            left.append(deed)
    return left


def check(folder, done):
    """What was acknowledged is there; at most the deed that was under way is there as well."""
    with Examination.open(folder, write=False) as examination:
        found = {(f.site, f.side, f.value) for f in examination.live().findings}
    wanted = {STATEMENTS[number][1] for number in standing(done)}
    following = {STATEMENTS[number][1] for number in standing([*done, "undo"])} if done else set()
    last = [deed for deed in done if deed != "undo"]
    beyond = wanted | {STATEMENTS[(last[-1] + 1) if last else 0][1]}
    assert found in (wanted, following, beyond), (found, done)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_was_acknowledged_outlives_a_kill(tmp_path, seed):
    folder = tmp_path / "kept"
    Examination.create(folder, "note").close()
    done = work_until_killed(folder, seed)
    check(folder, done)


@pytest.mark.parametrize("seed", [4, 5])
def test_what_the_page_shows_as_done_outlives_a_kill(tmp_path, browser, seed):
    folder = tmp_path / "kept"
    Examination.create(folder, "note").close()
    page = browser.new_page()
    done = work_until_killed(folder, seed, page)
    page.close()
    check(folder, done)


def kill_many(kills):
    """Kill so often, in the browser, and say what came of it."""
    from playwright.sync_api import sync_playwright

    deeds = 0
    with sync_playwright() as started:
        program = shutil.which("chromium") or shutil.which("chromium-browser")
        found = started.chromium.launch(executable_path=program, args=["--no-sandbox"])
        for kill in range(kills):
            with tempfile.TemporaryDirectory() as name:
                place = Path(name) / "kept"
                Examination.create(place, "note").close()
                page = found.new_page()
                acknowledged = work_until_killed(place, kill, page)
                page.close()
                check(place, acknowledged)
                deeds += len(acknowledged)
        found.close()
    print(f"{kills} kills, {deeds} deeds acknowledged, every one of them is there.")


if __name__ == "__main__":
    kill_many(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
