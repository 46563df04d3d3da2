"""Sound: processing time over duration, and memory, as ratios to the aims.

Not collected by pytest. Run: python tests/benchmarks/bench_sound.py [RECORDING ...]
A ratio of 1 meets the aim; above 1 is better.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

from dictate.audio.file import FileSource
from dictate.audio.levels import LevelMeter
from dictate.recognise.model_store import find_model
from dictate.recognise.vosk import VoskModel, VoskRecogniser
from dictate.session import Session

DEMO = Path(__file__).resolve().parents[2] / "audio_demo" / "demo.flac"
#: Aim: processing time at most this share of the recording's length, on two cores.
AIM_TIME_OVER_DURATION = 0.25


def main(recordings: list[Path]) -> None:
    """Read each recording once and print one line for it."""
    folder = find_model()
    if folder is None:
        sys.exit("The speech model is not here yet. Run: dictate setup")
    started = time.perf_counter()
    model = VoskModel(folder)
    print(f"model loaded in {time.perf_counter() - started:.2f} s")
    for path in recordings:
        source = LevelMeter(FileSource(path))
        session = Session()
        started = time.perf_counter()
        count, last = 0, 0.0
        for utterance in VoskRecogniser(model).utterances(source):
            session.take(utterance)
            count, last = count + 1, utterance.end or last
        spent = time.perf_counter() - started
        duration = source.duration_s or last
        share = spent / duration
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(
            f"{path.name}: {count} utterances, {duration:.0f} s, time over duration {share:.3f} "
            f"(ratio to the aim {AIM_TIME_OVER_DURATION / share:.1f}), memory {memory:.0f} MB"
        )


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]] or [DEMO])
