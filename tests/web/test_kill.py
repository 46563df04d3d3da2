"""Killed at a random moment while somebody works: what was acknowledged is there.

Three kills here; ``PYTHONPATH=. python tests/web/test_kill.py 50`` does as many as one likes.
"""

from __future__ import annotations

import json
import random
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


def work_until_killed(folder, seed):
    """Add statements, undo some, be killed meanwhile.

    Returns:
        What was acknowledged, in order: a statement's number, or "undo".
    """
    chance = random.Random(seed)
    served = subprocess.Popen(
        [sys.executable, "-m", "dictate", "review", folder, "--no-browser"],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT,
    )  # fmt: skip
    address = served.stdout.readline().strip()
    killer = threading.Timer(chance.uniform(0.05, 2.0), lambda: served.send_signal(signal.SIGKILL))
    killer.start()
    done = []
    try:
        for number in range(len(STATEMENTS[:12])):
            act(address, "add", {"text": STATEMENTS[number][0]})
            done.append(number)
            if chance.random() < 0.2:
                act(address, "undo", {})
                done.append("undo")
        killer.join()
    except (OSError, urllib.error.URLError):
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


if __name__ == "__main__":
    deeds = 0
    for kill in range(int(sys.argv[1]) if len(sys.argv) > 1 else 50):
        with tempfile.TemporaryDirectory() as name:
            place = Path(name) / "kept"
            Examination.create(place, "note").close()
            acknowledged = work_until_killed(place, kill)
            check(place, acknowledged)
            deeds += len(acknowledged)
    print(f"{kill + 1} kills, {deeds} deeds acknowledged, every one of them is there.")
