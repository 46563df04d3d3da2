"""The examination behind the page: one thing at a time, and whoever looks is told of changes.

All calls of the examination run on one thread of their own, so that the server goes on answering.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from dictate.audio.peaks import Peaks
from dictate.errors import DictateError, UsageError
from dictate.examination import Examination
from dictate.outputs import keep_current
from dictate.web.shown import shown

Given = TypeVar("Given")

#: How often it is looked whether another program wrote something (seconds).
LOOK_S = 0.3
#: Windows that may look at once.
MOST_WATCHERS = 32


@dataclass(frozen=True, slots=True)
class Situation:
    """What is true beside the record: how far it is read, what was heard just now.

    ``reading``: what is being done with the recording, empty where nothing is. ``words``: heard
    just now and not yet taken in. ``seconds``: of sound that can be drawn; ``sound``: what can be
    played. ``listening``: whether a dictation that goes on does; None where none does.
    """

    reading: str = ""
    words: str = ""
    listening: bool | None = None
    trouble: str = ""
    seconds: float = 0.0
    sound: Path | None = None
    video: bool = False


class Desk:
    """An examination that several windows look at."""

    def __init__(
        self, examination: Examination | None, peaks: Peaks, first: dict[str, Any] | None = None
    ) -> None:
        """Put an examination on the desk.

        Args:
            examination: Open; it is closed with the desk. None: it comes by ``put``.
            peaks: Of its recording.
            first: What is shown until it comes.
        """
        self._examination, self.peaks = examination, peaks
        self._first = first or {}
        self._there = asyncio.Event()
        self.situation = Situation()
        self.failed: DictateError | None = None
        self._worker = ThreadPoolExecutor(1, "examination")
        self._moved = asyncio.Condition()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._turns = 0
        self._kept: tuple[tuple[int, Situation], bytes] | None = None
        self.watchers = 0
        self.over = False

    @property
    def examination(self) -> Examination:
        """What is on the desk.

        Raises:
            UsageError: It is still being opened.
        """
        if self._examination is None:
            raise UsageError("It is still being opened. Wait a moment.")
        return self._examination

    @property
    def version(self) -> int:
        """The number of its last line; 0 while it is being opened."""
        return self._examination.version if self._examination is not None else 0

    @property
    def waits(self) -> bool:
        """Whether the examination is still to be opened."""
        return self._examination is None

    def fail(self, fault: DictateError) -> None:
        """It cannot be opened; from any thread."""
        self.failed = fault
        self.tell_from_thread(reading="", trouble=str(fault))

    def put(self, examination: Examination) -> None:
        """Put on the desk what was still to be opened; from any thread."""
        self._examination = examination
        self.tell_from_thread(reading="")
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._there.set)

    async def run(self, call: Callable[[Examination], Given]) -> Given:
        """Call the examination once it is there, and tell whoever looks if that changed it."""
        if self._examination is None:
            await self._there.wait()
        loop = asyncio.get_running_loop()
        before = self.examination.version
        try:
            return await loop.run_in_executor(self._worker, call, self.examination)
        finally:
            if self.examination.version != before:
                await self.tell()

    def wait_for(self, call: Callable[[], Given]) -> Given:
        """Call something from a thread of one's own, in turn with everything else."""
        return self._worker.submit(call).result()

    async def state(self) -> bytes:
        """Everything that the page shows, as JSON."""
        if self._examination is None:
            return json.dumps(self._first | self._beside(), ensure_ascii=False).encode()
        key = (self.examination.version, self.situation)
        if self._kept is None or self._kept[0] != key:
            content = await self.run(shown)
            content |= self._beside()
            self._kept = (key, json.dumps(content, ensure_ascii=False).encode())
        return self._kept[1]

    def _beside(self) -> dict[str, Any]:
        now = self.situation
        return {
            "reading": now.reading,
            "trouble": now.trouble,
            "listening": now.listening,
            "words": now.words,
            "sound": {"seconds": now.seconds, "video": now.video} if now.sound else None,
        }

    # ---- who looks

    def begin(self) -> None:
        """Be where ``tell_from_thread`` finds it; called on the server's loop."""
        self._loop = asyncio.get_running_loop()

    async def tell(self) -> None:
        """Wake whoever waits."""
        async with self._moved:
            self._turns += 1
            self._moved.notify_all()

    def tell_from_thread(self, **situation: Any) -> None:
        """Say from another thread that something has changed.

        Args:
            situation: Fields of Situation that are otherwise now.
        """
        if situation:
            self.situation = replace(self.situation, **situation)
        if self._loop is not None and not self._loop.is_closed():
            asyncio.run_coroutine_threadsafe(self.tell(), self._loop)

    async def change_after(self, turn: int, longest_s: float) -> int:
        """Wait until something changes, or for some seconds.

        Args:
            turn: What was given last; -1 to begin.
            longest_s: Seconds after which it returns all the same.

        Returns:
            The number of the change.
        """
        async with self._moved:
            if self._turns == turn and not self.over:
                try:
                    async with asyncio.timeout(longest_s):
                        await self._moved.wait()
                except TimeoutError:
                    pass
            return self._turns

    async def look(self) -> None:
        """Follow what another program writes, until cancelled."""
        while not self.over:
            await asyncio.sleep(LOOK_S)
            if self._examination is None or self.examination.writes:
                continue
            try:
                events = await self.run(lambda one: one.follow())
            except DictateError as fault:
                self.situation = replace(self.situation, trouble=str(fault))
                await self.tell()
                return
            for event in events:
                self._note(event)
            if events:
                await self.tell()

    def _note(self, event: dict[str, Any]) -> None:
        """What a running dictation says beside what it takes in."""
        kind = event["event"]
        if kind == "preview":
            self.situation = replace(self.situation, words=str(event["utterance"]["text"]))
        elif kind in ("utterance", "answer", "request"):
            self.situation = replace(self.situation, words="")
        elif kind == "state":
            self.situation = replace(self.situation, listening=bool(event["listening"]))
        elif kind == "trouble":
            self.situation = replace(self.situation, trouble=str(event["sentence"]))
        elif kind == "ended":
            sound = self.examination.sound  # it is whole now, and can be played
            self.situation = replace(self.situation, listening=None, words="", sound=sound)

    async def end(self) -> None:
        """Wake everybody for the last time."""
        self.over = True
        await self.tell()

    def close(self) -> None:
        """Let go of everything."""
        self._worker.shutdown(wait=True, cancel_futures=True)
        if self._examination is not None:
            with suppress(DictateError):  # the history is whole: the files are made another time
                keep_current(self._examination)
            self._examination.close()
        self.peaks.close()
