"""How fast, how idle and how lean listening is; prints, asserts nothing.

    python tests/benchmarks/bench_live.py [latency] [work] [idle] [memory]

latency: the demo in real time through the whole program but the microphone; from the last sample
of speech in the sound (by level, within 35 dB of the loudest part near it) to the events.
work: the demo as fast as can be, and its processor time, also where other programs have the clock.
idle: a minute in which nobody speaks. memory: two hours of the demo with pauses, as fast as can be.
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from dictate.audio.file import FileSource
from dictate.audio.levels import level_dbfs
from dictate.audio.source import RATE_HZ, AudioChunk
from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.journal.writing import Journal
from dictate.listen.asking import Asker
from dictate.listen.dictation import Dictation
from dictate.listen.events import HeardUtterance, Preview
from dictate.listen.hearing import JOIN_GAP_S, NOTICED_S, PAUSE_S, Hearing
from dictate.listen.loop import Loop
from dictate.listen.played import PlayedSource
from dictate.recognise.ear import find_ear_recogniser
from dictate.recognise.listening import LiveRecogniser
from dictate.session import Session

DEMO = Path(__file__).parents[2] / "audio_demo" / "demo.flac"
BLOCK = 800
MEMORY_S, EVERY_S = 7200, 600


def sound_of(path: Path) -> NDArray[np.int16]:
    """All samples of a recording."""
    return np.frombuffer(b"".join(c.samples for c in FileSource(path).chunks()), "<i2")


class Stopwatch:
    """An observer that notes when the last preview and the end of each utterance were shown."""

    def __init__(self) -> None:
        self.shown: dict[type, dict[str, tuple[float, float]]] = {Preview: {}, HeardUtterance: {}}

    def take(self, event: object, session: Session) -> None:
        """Note the moment."""
        if isinstance(event, Preview | HeardUtterance):
            end_s = event.utterance.end or 0.0
            self.shown[type(event)][event.utterance.id] = (time.monotonic(), end_s)


class Timed(PlayedSource):
    """Remembers when its sound began."""

    began = 0.0

    def chunks(self) -> Iterator[AudioChunk]:
        """Yield the blocks."""
        self.began = time.monotonic()
        yield from super().chunks()


def latency(recogniser: LiveRecogniser) -> None:
    """Print the time from the end of speech to the preview and to the utterance."""
    watch, samples = Stopwatch(), sound_of(DEMO)
    with tempfile.TemporaryDirectory() as folder:
        session = Session()
        dictation = Dictation(Path(folder) / "d", session, recogniser)
        source = Timed(DEMO)
        dictation.begin()
        asker = Asker(None, None, session, "screen")
        dictation.listen(source, asker, (watch,), waits=False)
        dictation.finish()
    for kind, moments in watch.shown.items():
        late = sorted(at - source.began - speech_end(samples, end) for at, end in moments.values())
        p95 = late[min(len(late) - 1, round(0.95 * len(late)))]
        print(
            f"{kind.__name__}: median {statistics.median(late) * 1000:.0f} ms, "
            f"95th percentile {p95 * 1000:.0f} ms after the end of speech ({len(late)})"
        )
    print(f"silence counted in: {PAUSE_S} s to the preview, {JOIN_GAP_S + NOTICED_S:.1f} s in all")


def speech_end(samples: NDArray[np.int16], near_s: float) -> float:
    """The end of the last 10 ms near a word's end that are loud, in seconds."""
    frame = RATE_HZ // 100
    first = max(0, int((near_s - 1.0) * 100))
    near = samples[first * frame : int((near_s + 0.5) * 100) * frame]
    rows = near[: len(near) // frame * frame].reshape(-1, frame)
    levels = [level_dbfs(row.astype(np.int16)) for row in rows]
    loud = [k for k, level in enumerate(levels) if level > max(levels) - 35]
    end = loud[0]
    for k in loud:
        if k - end > 25 and (first + end) / 100 > near_s - 0.4:
            break  # after a silence of 0.25 s it is another utterance
        end = k
    return (first + end + 1) / 100


def _loop(recogniser: LiveRecogniser, folder: str, watch: Stopwatch | None = None) -> Loop:
    session = Session()
    hearing = Hearing(recogniser.start(), recogniser.start())
    journal = Journal(Path(folder) / "journal.jsonl")
    observers = (watch,) if watch else ()
    return Loop(session, hearing, journal, Asker(None, None, session, "screen"), observers)


def work(recogniser: LiveRecogniser) -> None:
    """Print the processor time for a second of sound, and for what follows the end of speech."""
    samples, watch = sound_of(DEMO).astype("<i2"), Stopwatch()
    after: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        loop = _loop(recogniser, folder, watch)
        began = time.process_time()
        for at in range(0, len(samples), BLOCK):
            count, before = len(watch.shown[HeardUtterance]), time.process_time()
            loop.take(AudioChunk(samples[at : at + BLOCK].tobytes(), at / RATE_HZ))
            if len(watch.shown[HeardUtterance]) > count:
                after.append(time.process_time() - before)
        took_s = time.process_time() - began
    after.sort()
    print(
        f"work: {took_s * RATE_HZ / len(samples):.2f} s of processor time for a second of sound; "
        f"once an utterance is over {1000 * statistics.median(after):.0f} ms (median) and "
        f"{1000 * after[round(0.95 * (len(after) - 1))]:.0f} ms (95th percentile) until it stands"
    )


def idle(recogniser: LiveRecogniser) -> None:
    """Print the share of one core while nobody speaks."""
    seconds = 60
    noise = np.random.default_rng(1).normal(0, 30, seconds * RATE_HZ).astype("<i2")
    with tempfile.TemporaryDirectory() as folder:
        loop = _loop(recogniser, folder)
        began = time.process_time()
        for at in range(0, len(noise), BLOCK):
            loop.take(AudioChunk(noise[at : at + BLOCK].tobytes(), at / RATE_HZ))
            loop.look_after()
        share = (time.process_time() - began) / seconds
    print(f"nobody speaks: {share:.1%} of one core (processor time / length of the sound)")


def memory(recogniser: LiveRecogniser) -> None:
    """Print the memory every ten minutes of two hours: the demo, then nine minutes of silence."""
    samples = sound_of(DEMO)
    quiet = np.random.default_rng(1).normal(0, 20, EVERY_S * RATE_HZ - len(samples))
    piece = np.concatenate([samples, quiet.astype(np.int16)]).astype("<i2")
    with tempfile.TemporaryDirectory() as folder:
        loop = _loop(recogniser, folder)
        for turn in range(MEMORY_S // EVERY_S):
            for at in range(0, len(piece), BLOCK):
                at_s = turn * EVERY_S + at / RATE_HZ
                loop.take(AudioChunk(piece[at : at + BLOCK].tobytes(), at_s))
            print(f"{(turn + 1) * 10:3} min of sound: {_resident_mb():.0f} MB", flush=True)


def _resident_mb() -> float:
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
    except OSError:  # no such place on this system: the most so far
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def main() -> None:
    """Run what is named, or everything."""
    try:
        recogniser = find_ear_recogniser(load_grammar())
    except ModelError as error:
        sys.exit(str(error))
    print("with the adapted listener" if recogniser.has_ear else "the pair alone")
    measures = {"latency": latency, "work": work, "idle": idle, "memory": memory}
    for name in sys.argv[1:] or measures:
        measures[name](recogniser)


if __name__ == "__main__":
    main()
