"""A listener that needs a while hears an utterance while it is not yet sure that it is over.

It begins at the short pause; where nothing more was said, its words are there when the utterance
is handed out, and where speech went on they are thrown away.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

from dictate.recognise.joining import HeardWord

#: The ends of an utterance may move by so much when its last words become final (seconds).
NEAR_S = 0.15

Words = tuple[HeardWord, ...]


@dataclass(frozen=True, slots=True)
class _Begun:
    start_s: float
    end_s: float
    words: Future[Words]


class Ahead:
    """At most one stretch of sound is heard ahead."""

    def __init__(self, hear: Callable[[bytes, float], Words]) -> None:
        """Begin with nothing.

        Args:
            hear: Hears samples that start at so many seconds; it is never called twice at once as
                long as ``take`` comes before any other call of it.
        """
        self._hear = hear
        self._workers = ThreadPoolExecutor(1, thread_name_prefix="ahead")
        self._begun: _Begun | None = None

    def begin(self, samples: bytes, from_s: float, start_s: float, end_s: float) -> None:
        """Hear a stretch in the background; what was begun before is thrown away.

        Args:
            samples: The sound.
            from_s: Where it starts (seconds).
            start_s: The first word of the utterance so far (seconds).
            end_s: The end of its last word (seconds).
        """
        if self._begun is not None:
            if self._is(self._begun, start_s, end_s):
                return
            self._begun.words.cancel()
        self._begun = _Begun(start_s, end_s, self._workers.submit(self._hear, samples, from_s))

    def take(self, start_s: float, end_s: float) -> Words | None:
        """The words of an utterance that was heard ahead; None where it was not.

        It waits until nothing is heard in the background any more.

        Raises:
            ModelError: The listener failed.
        """
        begun, self._begun = self._begun, None
        if begun is None or begun.words.cancel():
            self._wait()
            return None
        if self._is(begun, start_s, end_s):
            return begun.words.result()
        self._wait()
        return None

    def end(self) -> None:
        """Nothing more is heard ahead."""
        self._begun = None
        self._workers.shutdown(wait=False, cancel_futures=True)

    def _wait(self) -> None:
        self._workers.submit(lambda: None).result()

    @staticmethod
    def _is(begun: _Begun, start_s: float, end_s: float) -> bool:
        return abs(begun.start_s - start_s) <= NEAR_S and abs(begun.end_s - end_s) <= NEAR_S
