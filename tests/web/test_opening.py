"""A long examination is shown before it is understood, and what is done meanwhile waits."""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from dictate.examination import Examination
from dictate.examination.fold import Fold
from dictate.grammar import load_grammar
from dictate.model import Utterance
from dictate.web.opening import _LONG, open_for_review
from dictate.web.shown import OPENING

ROOT = Path(__file__).resolve().parents[2]
NUMBER = _LONG + 10


@pytest.fixture
def long_one(tmp_path):
    """More lines than are followed before the page is there."""
    folder = tmp_path / "kept"
    with Examination.create(folder, "note") as examination:
        examination.hear(Utterance("u1", "right deltoid four out of five"))
        for number in range(2, NUMBER):
            examination.hear(Utterance(f"u{number}", "and now the next one"))
        examination.correct("u3", "left deltoid three out of five")
    return folder


def words(state):
    return [(one["id"], one["text"], one["start_s"], one["end_s"]) for one in state["utterances"]]


def test_the_words_are_there_first_and_deeds_wait(long_one):
    opened = open_for_review(long_one)
    assert opened.desk.waits

    async def session():
        desk = opened.desk
        desk.begin()
        first = json.loads(await desk.state())
        adding = asyncio.create_task(desk.run(lambda one: one.type("left biceps five")))
        opened.begin()
        await asyncio.wait_for(adding, 120)
        return first, json.loads(await desk.state())

    # in a thread of its own: another test's browser has a loop in this one
    with ThreadPoolExecutor(1) as thread:
        first, last = thread.submit(lambda: asyncio.run(session())).result()
    opened.close()
    assert (first["status_words"], first["closed"], first["findings"]) == (OPENING, True, [])
    assert words(first) == words(last)[:-1] and len(words(first)) == NUMBER - 1
    assert not last["closed"] and not last["reading"]
    labels = {one["label"] for one in last["findings"]}
    assert {"Right deltoid 4/5", "Left deltoid 3/5", "Left biceps 5/5"} <= labels
    with Examination.open(long_one, write=False) as examination:
        assert ("biceps", "left") in {(f.site, f.side) for f in examination.live().findings}


@pytest.mark.parametrize(
    "line",
    [
        '{"n": 9000, "at": "", "event": "utterance", "utterance": {"id": 3}}',
        '{"n": 9000, "at": "", "event": "put", "utterance": {"id": "h9", "text": "x"}}',
    ],
)
def test_one_that_is_not_understood_is_one_sentence(long_one, line):
    with (long_one / "journal.jsonl").open("a") as file:
        file.write(line + "\n")
    command = [sys.executable, "-m", "dictate", "review", str(long_one), "--no-browser"]
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert result.returncode not in (0, 1)
    assert "is not understood" in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr


def test_closing_does_not_wait_for_a_long_history(long_one):
    opened = open_for_review(long_one)
    opened.begin()
    opened.close()
    with Examination.open(long_one) as examination:
        assert examination.writes  # nobody holds it


def test_what_is_read_again_is_marked_once():
    fold = Fold(load_grammar())
    read = fold.session._resolver.reader._marked
    before = read.cache_info().hits
    said = Utterance("u1", "right deltoid four out of five")
    for _ in range(3):
        fold.session.twin().take(said)
    assert read.cache_info().hits >= before + 2
