"""Typed text: utterances a second on one core, start-up time and memory, as ratios to the aims.

Not collected by pytest. Run: python tests/benchmarks/bench_text.py
A ratio of 1 meets the aim; above 1 is better.
"""

from __future__ import annotations

import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from dictate.grammar import load_grammar
from dictate.model import Utterance
from dictate.session import Session

ROOT = Path(__file__).resolve().parents[2]

#: Aims: utterances a second, seconds from the command to the note, megabytes.
UTTERANCES_A_SECOND = 2_000
START_S = 1.5
MEMORY_MB = 300

ROUNDS = 5
TALK = ["Close your eyes.", "Push against my hand.", "the weather has been dreadful this week"]


def examination() -> list[str]:
    """About a hundred utterances of one examination, shuffled: the grammar's own examples."""
    dice = random.Random(7)
    said = [example.say for area in load_grammar().areas for example in area.examples]
    return dice.sample(said, 80) + TALK * 7


def utterances_a_second() -> tuple[float, float]:
    """The best of some rounds over many examinations, and the slowest single utterance in ms."""
    lines = examination()
    best, slowest = 0.0, 0.0
    for _ in range(ROUNDS):
        began = time.process_time()
        count = 0
        for _ in range(5):
            session = Session()
            for number, line in enumerate(lines, 1):
                before = time.process_time()
                session.take(Utterance(f"u{number}", line))
                slowest = max(slowest, time.process_time() - before)
                count += 1
            session.record()
        best = max(best, count / (time.process_time() - began))
    return best, slowest * 1000


def cold_start() -> tuple[float, float]:
    """Seconds (median) and megabytes of `dictate note` on a short text, a new process each."""
    with tempfile.TemporaryDirectory() as folder:
        text = Path(folder) / "said.txt"
        text.write_text("deltoid five of five bilaterally\ntoes downgoing\n", encoding="utf-8")
        seconds = []
        for _ in range(ROUNDS):
            began = time.perf_counter()
            subprocess.run(
                [sys.executable, "-m", "dictate", "note", str(text)],
                check=True,
                stdout=subprocess.DEVNULL,
                cwd=ROOT,
            )
            seconds.append(time.perf_counter() - began)
    used = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return sorted(seconds)[ROUNDS // 2], used / (1024 if sys.platform != "darwin" else 1024**2)


def main() -> None:
    """Measure and print."""
    start_s, megabytes = cold_start()
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    Session().take(Utterance("u1", "right deltoid five"))  # build the reader before the clock runs
    speed, slowest_ms = utterances_a_second()
    print(f"{speed:8.0f} utterances a second, ratio {speed / UTTERANCES_A_SECOND:.2f}")
    print(f"{slowest_ms:8.1f} ms for the slowest utterance")
    print(f"{start_s:8.2f} s from the command to the note, ratio {START_S / start_s:.2f}")
    print(f"{megabytes:8.0f} MB at most, ratio {MEMORY_MB / megabytes:.2f}")


if __name__ == "__main__":
    main()
