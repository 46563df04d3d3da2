"""What was heard of a sound, kept, so that a changed judge or reader is measured at once.

Hearing takes an hour, judging and reading a minute. What was heard is used again only where the
sound, the phrases, the model and every file that hearing goes through are the same.
"""

from __future__ import annotations

import hashlib
import inspect
import os
import pickle
import resource
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from room import Played

import dictate
from dictate.model import Utterance
from dictate.recognise import adapted
from dictate.recognise.engines import Engine
from dictate.recognise.joining import HeardWord, Stretch
from dictate.recognise.listening import listen
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.three import Third

#: Packages and modules that a sound goes through before anything is judged.
_HEARING = (
    "audio/*.py",
    *(f"recognise/{m}.py" for m in ("engines", "listening", "joining", "far", "vosk", "dither")),
    "recognise/search_width.py",
)


@dataclass(frozen=True, slots=True)
class Heard:
    """Both engines' words by utterance, and what it took.

    ``took_s`` is the processor time of all that is done to hear, without the judging, ``each_s``
    that of each engine (seconds); ``memory_mb`` is the most that the process had held by then.
    """

    stretches: dict[str, Stretch]
    took_s: float
    each_s: tuple[float, ...]
    memory_mb: float


def heard_by_both(pair: PairRecogniser, sound: Any, kept: Path) -> Heard:
    """Let both engines hear a sound, or take what they heard of it before.

    Args:
        pair: The two of them.
        sound: 16 kHz mono samples.
        kept: The folder of what was heard before; only files of one's own belong there.
    """
    path = kept / "heard" / f"{_key(pair, sound)}.pickle"
    if path.exists():
        return pickle.loads(path.read_bytes())
    heard = _hear(pair, sound)
    _write(path, heard)
    return heard


def _write(path: Path, what: Any) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    begun = path.with_name(f"{path.stem}.{os.getpid()}")
    begun.write_bytes(pickle.dumps(what))
    begun.replace(path)


class KeptThird:
    """A third listener of which each stretch of sound is heard once; ``took_s`` counts on."""

    def __init__(self, third: Third, kept: Path) -> None:
        """Begin; ``kept`` is the folder of what was heard before."""
        self._third, self._kept, self.took_s = third, kept, 0.0

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in it (as ``dictate.recognise.three.Third``)."""
        source = inspect.getsource(inspect.getmodule(type(self._third)) or dictate)
        digest = hashlib.sha256(samples + f"{start_s} {source}".encode()).hexdigest()[:24]
        path = self._kept / "third" / f"{digest}.pickle"
        if not path.exists():
            began = time.process_time()
            words = self._third.hear(samples, start_s)
            _write(path, (words, time.process_time() - began))
        words, took_s = pickle.loads(path.read_bytes())
        self.took_s += took_s
        return words


class KeptEar:
    """The adapted listener, of which each stretch of sound is heard and weighed once."""

    def __init__(self, folder: Path, kept: Path) -> None:
        """Begin.

        Args:
            folder: Where the adapted listener is; loaded when something new is heard.
            kept: The folder of what was heard before.
        """
        self._folder, self._kept, self.took_s = folder, kept / "ear", 0.0
        self._ear: Any = None
        source = inspect.getsource(adapted) + str((folder / "model.bin").stat().st_mtime_ns)
        self._name = hashlib.sha256(source.encode()).hexdigest()[:8]
        self._last = (b"", 0.0)
        self._loaded = ""

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in it (as ``dictate.recognise.ear.Ear``)."""
        self._last = (samples, start_s)
        return self._once("hear", lambda ear: ear.hear(samples, start_s))

    def weigh(self, texts: Sequence[str]) -> list[float]:
        """How likely each text is for the sound that was heard last."""

        def weighed(ear: Any) -> list[float]:
            if self._loaded != self._digest(""):
                ear.hear(*self._last)
            return ear.weigh(texts)

        return self._once("|".join(texts), weighed)

    def _digest(self, what: str) -> str:
        samples, start_s = self._last
        return hashlib.sha256(samples + f"{start_s} {what}".encode()).hexdigest()[:24]

    def _once(self, what: str, work: Callable[[Any], Any]) -> Any:
        path = self._kept / self._name / f"{self._digest(what)}.pickle"
        if not path.exists():
            self._ear = self._ear or adapted.AdaptedListener(self._folder)
            began = time.process_time()
            found = work(self._ear)
            self._loaded = self._digest("")
            _write(path, (found, time.process_time() - began))
        found, took_s = pickle.loads(path.read_bytes())
        self.took_s += took_s
        return found


def _hear(pair: PairRecogniser, sound: Any) -> Heard:
    stretches: dict[str, Stretch] = {}
    make, judging_s = pair._make, 0.0

    def keep(identity: str, stretch: Stretch) -> Utterance:
        nonlocal judging_s
        stretches[identity] = stretch
        began = time.process_time()
        made = make(identity, stretch)
        judging_s += time.process_time() - began
        return made

    pair._make = keep  # type: ignore[method-assign]
    try:
        began = time.process_time()
        listening = pair.start()
        clocks = [_Clock(engine) for engine in listening._engines]
        listening._engines = tuple(clocks)
        for _ in listen(listening, Played(sound)):
            pass
        took_s = time.process_time() - began - judging_s
    finally:
        pair._make = make  # type: ignore[method-assign]
    return Heard(stretches, took_s, tuple(clock.took_s for clock in clocks), memory_mb())


def memory_mb() -> float:
    """The most memory that this process has held (MB)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _key(pair: PairRecogniser, sound: Any) -> str:
    root = Path(dictate.__file__).parent
    files = sorted(path for pattern in _HEARING for path in root.glob(pattern))
    digest = hashlib.sha256(sound.tobytes())
    for part in (*pair._phrases, pair._model.folder.name, *(f.read_text() for f in files)):
        digest.update(part.encode() + b"\0")
    return digest.hexdigest()[:24]


class _Clock:
    """An engine, and the processor time that it takes in the thread that it works in."""

    def __init__(self, engine: Engine) -> None:
        self._engine, self.took_s = engine, 0.0

    def __getattr__(self, name: str) -> Callable[..., Any]:
        work = getattr(self._engine, name)

        def timed(*given: Any) -> Any:
            began = time.thread_time()
            try:
                return work(*given)
            finally:
                self.took_s += time.thread_time() - began

        return timed
