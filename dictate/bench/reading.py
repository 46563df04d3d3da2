"""Which line of an examination is being read aloud, told from the sound alone.

A line is over when somebody has spoken and then been silent for a while. A reader who slipped has
the line shown again; what was said of it before counts for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dictate.audio.activity import VoiceActivity
from dictate.audio.source import AudioChunk

#: After so much silence a line is over (seconds): longer than a pause at a full stop.
PAUSE_S = 1.8
#: Less speech than this is a noise, and no line that was read (seconds).
SHORTEST_S = 0.3


@dataclass(frozen=True, slots=True)
class Line:
    """A line to be read: the examination that it belongs to, its place in that, and its words."""

    case: int
    number: int
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a line was read, in seconds of the sound; ``void`` where it was read once more."""

    case: int
    number: int
    start_s: float
    end_s: float
    void: bool = False


class Reading:
    """The lines one after the other, as sound goes by."""

    def __init__(self, lines: Sequence[Line], show: Callable[[int, Line], None]) -> None:
        """Show the first line.

        Args:
            lines: What is to be read.
            show: Called with the place (from 0) of the line that is to be read now, and the line.
        """
        self._lines, self._show = lines, show
        self._activity = VoiceActivity()
        self._at = 0
        self._from_s = self._now_s = self._spoken_s = 0.0
        self.marks: list[Mark] = []
        if lines:
            show(0, lines[0])

    @property
    def over(self) -> bool:
        """Every line was read."""
        return self._at >= len(self._lines)

    def take(self, chunk: AudioChunk) -> None:
        """The next sound."""
        self._now_s = chunk.end_s
        if self.over:
            return
        if self._activity.take(chunk):
            self._spoken_s += chunk.duration_s
        last_s = self._activity.last_speech_s or 0.0
        if self._spoken_s >= SHORTEST_S and self._now_s - last_s >= PAUSE_S:
            self._end(last_s, void=False)
            self._go_to(self._at + 1)

    def again(self) -> None:
        """The reader slipped: this line once more, or, where it was not begun, the one before."""
        if self._spoken_s >= SHORTEST_S and not self.over:
            self._end(self._now_s, void=True)
            self._go_to(self._at)
            return
        before = next((n for n in reversed(range(len(self.marks))) if not self.marks[n].void), None)
        if before is None:
            return
        mark = self.marks[before]
        self.marks[before] = Mark(mark.case, mark.number, mark.start_s, self._now_s, void=True)
        self._go_to(self._at - 1)

    def finish(self) -> None:
        """The sound has ended: a line that was read to there counts."""
        last_s = self._activity.last_speech_s or 0.0
        if self._spoken_s >= SHORTEST_S and not self.over:
            self._end(last_s, void=False)
            self._at += 1

    def whole(self) -> list[int]:
        """The examinations of which every line was read."""
        open_ones = {line.case for line in self._lines[self._at :]}
        return [
            case for case in dict.fromkeys(n.case for n in self._lines) if case not in open_ones
        ]

    def _end(self, end_s: float, void: bool) -> None:
        line = self._lines[self._at]
        self.marks.append(Mark(line.case, line.number, self._from_s, end_s, void))

    def _go_to(self, place: int) -> None:
        self._at, self._from_s, self._spoken_s = place, self._now_s, 0.0
        if not self.over:
            self._show(place, self._lines[place])
