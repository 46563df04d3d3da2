"""Listening with one engine or several: fed together, cut at the same seconds, joined."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from functools import lru_cache
from typing import Protocol

from dictate.audio.nearness import Nearness
from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk
from dictate.errors import ModelError
from dictate.model import Utterance
from dictate.recognise.far import mark_far
from dictate.recognise.joining import HeardWord, Joining, Make, Stretch

#: Sound missing between two chunks that ends an utterance (seconds); less is rounding.
_HOLE_S = 0.1


class Engine(Protocol):
    """What hears words in samples, as they come."""

    def feed(self, samples: bytes) -> bool:
        """Take samples; tell whether they seem to end an utterance.

        Raises:
            ModelError: The engine fails.
        """
        ...

    def cut(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut; the sound of the last tenths may count to what follows.

        Args:
            offset_s: Added to the times, which count the seconds that were fed.
        """
        ...

    def flush(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut, to the very last sample that was fed."""
        ...

    def partial(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut, as far as the engine has got; they may still change."""
        ...

    def hears(self) -> bool:
        """Tell whether it has begun to hear a word since the last cut."""
        ...


def failure(reason: str) -> str:
    """The notice for the reader of the record that a listener failed."""
    return (
        f"The second listener failed ({reason.rstrip('.')}): "
        "what comes from there on is marked as heard by one listener only."
    )


@lru_cache(maxsize=1)
def _workers() -> ThreadPoolExecutor:
    """Threads in which the engines hear side by side: they leave Python while they search."""
    return ThreadPoolExecutor(os.cpu_count() or 1, thread_name_prefix="hearing")


class EngineListening:
    """One pass over one sound with one engine or several, all cut at the same seconds.

    The first engine must work; where another fails it is left out from then on, and a notice
    says so.
    """

    def __init__(self, engines: Sequence[Engine], make: Make) -> None:
        """Begin with new engines.

        Args:
            engines: What listens; the last one finds the ends of utterances.
            make: Makes an utterance of what they heard, in their order.
        """
        self._engines = tuple(engines)
        self._nearness = Nearness()
        self._join = Joining(lambda name, heard: make(name, mark_far(heard, self._nearness)))
        self._offset_s, self._fed_s = 0.0, 0.0
        self.notices: list[str] = []

    def feed(self, chunk: AudioChunk) -> list[Utterance]:
        """Take the next chunk; hand out the utterances that are complete now.

        Args:
            chunk: Sound; a hole between it and the chunk before ends an utterance.

        Raises:
            ModelError: The first engine fails.
        """
        done: list[Utterance] = []
        if abs(chunk.start_s - self._offset_s - self._fed_s) > _HOLE_S:
            done += self.end_now()
            self._offset_s = chunk.start_s - self._fed_s
        self._nearness.take(chunk.samples, chunk.start_s)
        ended = self._feed_engines(chunk.samples, done)
        self._fed_s += len(chunk.samples) / (RATE_HZ * SAMPLE_BYTES)
        if ended:
            done += self._join.take(self._each("cut"))
        if self._join.may_let_go(self._offset_s + self._fed_s) and not self._hears():
            done += self._join.end()
        return done

    def end_now(self) -> list[Utterance]:
        """A pause was heard: make the words so far final; they are held to be joined."""
        return list(self._join.take(self._each("flush")))

    def pause(self, so_far: Utterance) -> None:
        """The speaker has paused: the engines hear as they come, and need not be told."""

    def so_far(self) -> Utterance | None:
        """What has been heard of the utterance that is not complete yet; it may still change."""
        return self._join.with_more(self._each("partial"))

    def finish(self) -> list[Utterance]:
        """The sound has ended: hand out what is left."""
        return self.end_now() + list(self._join.end())

    def _feed_engines(self, samples: bytes, done: list[Utterance]) -> bool:
        """Feed all; the last one that works tells whether an utterance ends."""
        ended = False
        failed: list[int] = []
        at_work: list[Future[bool]] = []
        if len(self._engines) > 1:
            at_work = [_workers().submit(engine.feed, samples) for engine in self._engines]
        for number, engine in enumerate(self._engines):
            try:
                ended = at_work[number].result() if at_work else engine.feed(samples)
            except ModelError as error:
                if number == 0:
                    raise
                failed.append(number)
                self.notices.append(failure(str(error)))
        if failed:
            self._leave_out(failed, done)
        return ended

    def _leave_out(self, failed: list[int], done: list[Utterance]) -> None:
        """Finish what was begun with all, then go on with those that work."""
        words = [
            () if number in failed else engine.flush(self._offset_s)
            for number, engine in enumerate(self._engines)
        ]
        done += self._join.take(tuple(words))
        done += self._join.end()
        self._engines = tuple(
            engine for number, engine in enumerate(self._engines) if number not in failed
        )

    def _each(self, what: str) -> Stretch:
        return tuple(getattr(engine, what)(self._offset_s) for engine in self._engines)

    def _hears(self) -> bool:
        return any(engine.hears() for engine in self._engines)
