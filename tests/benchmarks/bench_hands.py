"""Kills a program that does things by hand to an examination; counts what is there afterwards.

    python tests/benchmarks/bench_hands.py [KILLS] [SEED]

Each time ``tests/examination/busy.py`` hears, corrects, answers, changes and undoes at random,
and says what was acknowledged; it is killed (SIGKILL) at a moment drawn at random, and the folder
is opened again.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from dictate.examination import Examination
from dictate.journal.reading import read_journal
from dictate.journal.writing import JOURNAL_NAME
from dictate.model import Utterance

BUSY = Path(__file__).parents[1] / "examination" / "busy.py"
SAID = ("right deltoid four", "left biceps five", "deltoid three")


def kill_once(folder: Path, seed: int, after_s: float) -> tuple[int, int, bool]:
    """Kill it so long after its first deed.

    Returns:
        How many deeds were acknowledged, how many of them are missing, and whether two readings
        of the folder differ.
    """
    with Examination.create(folder) as examination:
        for number, text in enumerate(SAID, 1):
            examination.hear(Utterance(f"u{number}", text))
    process = subprocess.Popen(
        [sys.executable, str(BUSY), str(folder), str(seed)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(after_s)
    process.kill()
    out, _ = process.communicate()
    told = [line.split() for line in (first + out).rpartition("\n")[0].splitlines()]
    there = {e["n"]: e["event"] for e in read_journal(folder / JOURNAL_NAME).events}
    missing = sum(there.get(int(n)) != event for n, event in told)
    with Examination.open(folder) as examination:
        differ = Examination.open(folder, write=False).live() != examination.live()
    return len(told), missing, differ


def main() -> None:
    """Kill, open, count, print."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    draw = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 5)
    told = missing = differ = 0
    with tempfile.TemporaryDirectory() as scratch:
        for number in range(kills):
            result = kill_once(
                Path(scratch) / str(number), draw.randrange(10**6), draw.uniform(0, 1.2)
            )
            told, missing, differ = (
                told + result[0], missing + result[1], differ + result[2],
            )  # fmt: skip
    print(f"{kills} kills: {told} deeds acknowledged, {missing} missing, {differ} folders differ")


if __name__ == "__main__":
    main()
