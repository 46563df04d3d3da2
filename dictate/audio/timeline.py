"""Where in a recording its decoding stands, by the time stamps of what is decoded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

#: A jump in the time stamps that is a hole in the sound, and no rounding (seconds).
HOLE_S = 0.05
#: A jump longer than this is taken as a slip of the time stamps, not as lost sound (seconds).
LONGEST_HOLE_S = 3600.0


@dataclass(frozen=True, slots=True)
class Hole:
    """Sound is missing from ``start_s`` for ``length_s`` seconds."""

    start_s: float
    length_s: float


class Timeline:
    """Where in the recording the decoding stands; finds jumps in the time stamps."""

    def __init__(self) -> None:
        self._first: float | None = None
        self._stamped_end: float | None = None
        self.end_s = 0.0

    def tell(self, stamp: int | None, base: Any, otherwise: float) -> float:
        """Turn a time stamp into seconds from the start of the sound."""
        if stamp is None or base is None:
            return otherwise
        return max(0.0, float(stamp * base) - (self._first or 0.0))

    def place(self, frame: Any) -> Hole | None:
        """Take a decoded frame in; tell whether sound is missing before it."""
        length_s = frame.samples / frame.rate
        hole = None
        if frame.pts is not None and frame.time_base is not None:
            stamp = float(frame.pts * frame.time_base)
            if self._first is None:
                self._first = stamp
            hole = self._find_hole(stamp)
            self._stamped_end = stamp + length_s
        if hole is not None:
            self.end_s += hole.length_s
        self.end_s += length_s
        return hole

    def _find_hole(self, stamp: float) -> Hole | None:
        """A hole is a jump from the last frame that also puts the sound behind its stamps."""
        if self._stamped_end is None or self._first is None:
            return None
        jump = min(stamp - self._stamped_end, stamp - self._first - self.end_s)
        return Hole(self.end_s, jump) if HOLE_S < jump < LONGEST_HOLE_S else None
