"""One queue for all that can happen, and the thread that brings the sound into it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Literal

from dictate.audio.source import AudioChunk, AudioSource
from dictate.errors import DictateError
from dictate.faults import note_fault
from dictate.listen.loop import Loop

#: What waits: sound, a sentence about trouble, a key press, a wish to stop, the end of the sound.
Item = AudioChunk | str | Literal["press", "stop", "end"] | DictateError
#: How often the journal is looked after where nothing comes in (seconds).
_IDLE_S = 0.5
#: Blocks that a recording may be ahead of the loop; a microphone does not wait.
_AHEAD = 40


class _Trouble(str):
    """A sentence about trouble, apart from the other words in the queue."""

    __slots__ = ()


class Inbox:
    """What other threads and signals hand to the loop."""

    def __init__(self) -> None:
        """Empty."""
        self._items: SimpleQueue[Item] = SimpleQueue()
        self._room = threading.Semaphore(_AHEAD)
        self.heard_any = False

    def trouble(self, sentence: str) -> None:
        """Something is wrong outside the loop."""
        self._items.put(_Trouble(sentence))

    def press(self) -> None:
        """A key was pressed."""
        self._items.put("press")

    def stop(self) -> None:
        """Finish now; also for signal handlers."""
        self._items.put("stop")

    def bring(self, source: AudioSource, waits: bool) -> threading.Thread:
        """Begin to bring sound.

        Args:
            source: Where from; it is read on a thread of its own.
            waits: It may wait for the loop (a recording), or not (a microphone).
        """

        def carry() -> None:
            try:
                for chunk in source.chunks():
                    if waits:
                        self._room.acquire()
                    self._items.put(chunk)
            except DictateError as fault:
                self._items.put(fault)
            except Exception as fault:
                sentence = f"The sound has ended: a fault in the program ({note_fault(fault)})."
                self._items.put(DictateError(sentence))
            finally:
                self._items.put("end")

        thread = threading.Thread(target=carry, name="sound", daemon=True)
        thread.start()
        return thread

    def serve(self, loop: Loop, stop_source: Callable[[], None]) -> None:
        """Give the loop everything that comes, until it is over.

        Args:
            loop: The dictation.
            stop_source: Called once it is over; the sound that is still on its way is heard.

        Raises:
            DictateError: The sound failed before there was any.
        """
        stopping = False
        while True:
            try:
                item = self._items.get(timeout=_IDLE_S)
            except Empty:
                loop.look_after()
                continue
            if item == "end":
                return
            self._give(loop, item)
            if not stopping and (item == "stop" or loop.over):
                stopping = True
                stop_source()

    def _give(self, loop: Loop, item: Item) -> None:
        if isinstance(item, AudioChunk):
            if not self.heard_any:
                self.heard_any = True
                loop.begin()  # only now is it known that anything is heard
            self._room.release()
            if not loop.over:
                loop.take(item)
                loop.look_after()
        elif isinstance(item, DictateError):
            if not self.heard_any:
                raise item
            loop.trouble(str(item))
        elif isinstance(item, _Trouble):
            loop.trouble(item)
        elif item == "press":
            loop.press()
