"""Kills a dictation at random moments and takes it up again; counts what is there afterwards.

    python tests/benchmarks/bench_kill.py [KILLS] [SEED]

Each time: ``dictate listen`` hears the demo faster than in life, is killed (SIGKILL) at a moment
drawn at random, and ``dictate resume --finish`` brings it back. Counted are the utterances that
had ended in the sound before the kill, and the sound that is missing.
"""

from __future__ import annotations

import json
import random
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

DEMO = Path(__file__).parents[2] / "audio_demo" / "demo.flac"
#: How much faster than in life the demo is heard.
SPEED = 5.0
#: Sound that an utterance needs after its last word to be recognised as it is in the whole
#: recording (seconds): one that ends within it may be heard differently, not missed.
TAIL_S = 0.3


@dataclass(frozen=True)
class Killed:
    """One kill: sound heard and kept (seconds), utterances that had ended, and those missing."""

    played_s: float
    kept_s: float
    ended: int
    missing: tuple[str, ...]

    @property
    def lost_s(self) -> float:
        """Sound that had been heard and is not kept."""
        return max(0.0, self.played_s - self.kept_s)


def utterances_of(folder: Path) -> list[dict]:
    """The utterances of a finished dictation."""
    return json.loads((folder / "record.json").read_text())["utterances"]


def whole(folder: Path) -> list[dict]:
    """What is heard when nobody kills it."""
    _dictate("listen", "--from", str(DEMO), "--speed", "0", "--ask", "screen", "--out", str(folder))
    return utterances_of(folder)


def kill_once(folder: Path, after_s: float, expected: list[dict]) -> Killed:
    """Kill a dictation so many seconds (of the clock) after its sound began; resume, and count."""
    process = subprocess.Popen(
        [sys.executable, "-m", "dictate", "listen", "--from", str(DEMO), "--speed", str(SPEED),
         "--ask", "screen", "--out", str(folder)],
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    sound = folder / "sound.wav"
    while not sound.exists() or sound.stat().st_size <= 44:
        if process.poll() is not None:
            raise RuntimeError("the dictation did not begin")
        time.sleep(0.005)
    began = time.monotonic()
    time.sleep(after_s)
    played_s = (time.monotonic() - began) * SPEED
    process.send_signal(signal.SIGKILL)
    process.wait()
    kept_s = (sound.stat().st_size - 44) / 32_000
    _dictate("resume", "--finish", str(folder))
    found = utterances_of(folder)
    ended = [u for u in expected if u["end"] + TAIL_S <= kept_s]
    missing = tuple(u["text"] for u in ended if not any(_same(u, other) for other in found))
    return Killed(played_s, kept_s, len(ended), missing)


def _same(one: dict, other: dict) -> bool:
    """The same stretch of sound, and nearly all of its words."""
    overlap = min(one["end"], other["end"]) - max(one["start"], other["start"])
    if overlap < 0.6 * (one["end"] - one["start"]):
        return False
    words, heard = one["text"].split(), other["text"].split()
    return sum(word in heard for word in words) >= 0.7 * len(words)


def _dictate(*arguments: str) -> None:
    subprocess.run(
        [sys.executable, "-m", "dictate", *arguments],
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True,
    )  # fmt: skip


def main() -> None:
    """Kill, resume, count, print."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    draw = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    ended = missing = 0
    worst_s = 0.0
    with tempfile.TemporaryDirectory() as scratch:
        expected = whole(Path(scratch) / "whole")
        for number in range(kills):
            moment = draw.uniform(0.2, 58.0 / SPEED)
            result = kill_once(Path(scratch) / str(number), moment, expected)
            ended, missing = ended + result.ended, missing + len(result.missing)
            worst_s = max(worst_s, result.lost_s / SPEED)
            print(
                f"kill {number + 1:2}: {result.kept_s:5.1f} s kept, {result.ended:2} had ended, "
                f"missing: {', '.join(result.missing) or 'none'}",
                flush=True,
            )
    print(f"{kills} kills: {ended} utterances had ended, {missing} missing afterwards;")
    print(f"sound missing at most {worst_s:.2f} s of the clock")


if __name__ == "__main__":
    main()
